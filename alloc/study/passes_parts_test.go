package study

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
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

// By hand: the first recording is that of channel 5, the second that of the zone below it. Two
// of its members have an off in the all notes off of their manager, on its port alone; that
// of channel 5 has none. Later the zone has one member, so channel 3 is nobody's.
func TestByPartsOfZones(t *testing.T) {
	plain, zone := *anyPart(), *anyPart()
	plain.Sources = []alloc.Source{{AnyPort: true, Channels: 1 << 4}}
	zone.Zones, zone.Sources = []midi.Zone{{AnyPort: true, Members: 3}}, nil
	r := Rules{Config: alloc.Config{Parts: []alloc.Part{plain, zone}}}
	var steps []midi.Step
	add := func(port midi.Port, channel midi.Channel, text string) {
		s := stepsOf(t, text)
		s[0].Port, s[0].Channel = port, channel
		steps = append(steps, s...)
	}
	add(0, 1, "0 on 60")
	add(0, 3, "1 on 61")
	add(0, 4, "2 on 62")
	add(1, 1, "3 on 63")
	add(0, 0, "4 cc123")
	add(0, 1, "5 off 60") // these two have no note any more, so all hear them
	add(0, 3, "6 off 61")
	add(0, 4, "7 off 62")
	add(1, 1, "8 off 63")
	steps = append(steps, midi.Step{At: 9 * ms, Kind: midi.StepZone, Value: 1})
	add(0, 2, "10 on 64")
	add(0, 1, "11 on 65")
	passes, err := ByParts(r, Performance{Steps: steps, End: time.Second}, [][]int{{0}, {1}})
	require.NoError(t, err)
	var got []string
	for _, pass := range passes {
		text := ""
		for _, s := range pass.Steps {
			text += fmt.Sprint(s.At.Milliseconds(), " ")
		}
		got = append(got, text)
	}
	require.Equal(t, []string{"2 4 5 6 7 9 10 ", "0 1 3 4 5 6 8 9 11 "}, got)
}
