package say

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// tailsLost is a song of two cut tails of 7 and 4 dB, at the end of bar 1 of four beats.
func tailsLost() (*contract.Result, *contract.Lanes) {
	l := &contract.Lanes{Parts: []string{"pad", "bass"}, Bars: []contract.BarLine{{Bar: 1, Beats: 4}}, Voices: []contract.LaneVoice{{Name: "K1"}}}
	r := &contract.Result{Heard: &contract.Heard{Order: []int{0, 1}}}
	part, name, key := "bass", "C2", 36
	for _, db := range []float64{7, 4} {
		r.Losses = append(r.Losses, contract.Loss{Ending: "tail_cut_other_key", Part: "pad", Key: 50, KeyName: "D3", BarNumber: 1, Beat: 4.95,
			ByPart: &part, ByKeyName: &name, ByKey: &key, HeardOne: &contract.HeardOne{HeardDB: &db}})
	}
	return r, l
}

// A label says that only a tail is lost as long as there is room; the place is told as players count.
func TestLabelsOfTails(t *testing.T) {
	r, l := tailsLost()
	require.Equal(t, []string{"pad D3 tail to bass C2, 7.0 dB", "pad D3 tail, 7.0 dB", "pad D3 tail", "pad D3", "D3"}, LossLabel(&r.Losses[0], false))
	require.Equal(t, "2.1 K1: pad D3 tail to bass C2, 7.0 dB", LossOnLane(&r.Losses[0], l, 1))
	require.Equal(t, "2.1 dropped: pad D3 tail to bass C2, 7.0 dB", LossOnLane(&r.Losses[0], l, 0))
	r.Losses[0].Ending = "held_cut"
	require.Equal(t, []string{"pad D3 to bass C2, 7.0 dB", "pad D3, 7.0 dB", "pad D3", "D3"}, LossLabel(&r.Losses[0], false))
}

// Where all that is plain are tails the headline says so: not of faint ones, nor where one is a note.
func TestOnlyTails(t *testing.T) {
	r, l := tailsLost()
	all := func(*contract.Loss) bool { return true }
	require.Equal(t, "You would hear 2 losses, all plainly (only tails). Worst: 2.1, pad D3 (50) tail to bass C2 (36), 7.0 dB.", Picture(r, l, all, true, 0, 0))
	*r.Losses[1].HeardDB = 2
	require.Contains(t, Picture(r, l, all, true, 0, 0), "1 plainly (only a tail). ")
	*r.Losses[0].HeardDB = 2.5
	require.Contains(t, Picture(r, l, all, true, 0, 0), "none plainly. ")
	*r.Losses[0].HeardDB, *r.Losses[1].HeardDB, r.Losses[1].Ending = 7, 4, "held_cut"
	require.Contains(t, Picture(r, l, all, true, 0, 0), "all plainly. ")
}
