package study

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
)

// TestByParts: each recording has the notes of its parts, with their offs even where keys of two
// parts overlap, and all that is not a note; a note that no part plays is in the first.
func TestByParts(t *testing.T) {
	low, high := *anyPart(), *anyPart()
	low.Keys, high.Keys = alloc.KeyRange{Low: 0, High: 59}, alloc.KeyRange{Low: 60, High: 100}
	r := Rules{Config: alloc.Config{Parts: []alloc.Part{low, high}}}
	p := Performance{Steps: stepsOf(t, "0 down, 0 on 50, 10 on 60, 20 off 50, 30 on 110, 40 off 60, 50 off 110, 60 off 61, 70 up, 80 on 60, 90 cc123, 95 off 60, 100 on 50, 110 cc120, 120 off 50"), End: time.Second}
	passes, err := ByParts(r, p, [][]int{{1}, {0}})
	require.NoError(t, err)
	require.Equal(t, "0 down, 10 on 60, 30 on 110, 40 off 60, 50 off 110, 60 off 61, 70 up, 80 on 60, 90 cc123, 95 off 60, 110 cc120, 120 off 50", textOf(passes[0].Steps))
	require.Equal(t, "0 down, 0 on 50, 20 off 50, 60 off 61, 70 up, 90 cc123, 95 off 60, 100 on 50, 110 cc120, 120 off 50", textOf(passes[1].Steps))
	require.Equal(t, []time.Duration{time.Second, time.Second}, []time.Duration{passes[0].End, passes[1].End})

	// Soft notes of a key are one part's and loud ones another's: each off goes with its own on.
	soft, loud := *anyPart(), *anyPart()
	soft.Velocities, loud.Velocities = [2]uint8{1, 99}, [2]uint8{100, 127}
	r.Config.Parts = []alloc.Part{soft, loud}
	p.Steps = stepsOf(t, "0 on 60, 10 on 60, 20 off 60, 30 off 60")
	p.Steps[0].Value = 50
	passes, err = ByParts(r, p, [][]int{{0}, {1}})
	require.NoError(t, err)
	require.Equal(t, []string{"0 on 60, 20 off 60", "10 on 60, 30 off 60"}, []string{textOf(passes[0].Steps), textOf(passes[1].Steps)})

	r.Config.Parts = []alloc.Part{low, low}
	p.Steps = stepsOf(t, "0 on 50")
	_, err = ByParts(r, p, [][]int{{0}, {1}})
	require.EqualError(t, err, "parts of two recordings play the same notes, key 50 of channel 1 among them")
	_, err = ByParts(r, p, [][]int{{0, 1}})
	require.NoError(t, err)
}
