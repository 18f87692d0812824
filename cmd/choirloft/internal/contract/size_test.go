package contract

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// What a remedy changes is told by kind: the part it is for, and its value.
func TestFixChanges(t *testing.T) {
	b := &sizer{in: SizeInput{Now: &study.Replay{}}}
	b.in.Now.Rig.Voices = 12
	pad, bass := "pad", "bass"
	for _, c := range []struct {
		kind whatif.Kind
		o    plan.Overrides
		want FixChange
	}{
		{whatif.Pick, plan.MustParse("--pick", "same-key then lowest"), FixChange{Value: "same-key then lowest"}},
		{whatif.Steal, plan.MustParse("--steal", "oldest"), FixChange{Value: "oldest"}},
		{whatif.Tails, plan.MustParse("--tails", "known"), FixChange{Value: "known"}},
		{whatif.Reserve, plan.Overrides{Reserve: plan.Only("bass", 2)}, FixChange{Part: &bass, Number: 2}},
		{whatif.Unison, plan.Overrides{Unison: plan.Only("pad", 3)}, FixChange{Part: &pad, Number: 3}},
		{whatif.Release, plan.MustParse("--release", "1.2 s"), FixChange{Value: "1.2 s"}},
		{whatif.Release, plan.MustParse("--release", "pad=1.2 s"), FixChange{Part: &pad, Value: "1.2 s"}},
		{whatif.Trim, plan.MustParse("--trim", "pad=80 ms"), FixChange{Part: &pad, Value: "80 ms"}},
		{whatif.Lift, plan.MustParse("--lift", "pad=1 s"), FixChange{Part: &pad, Value: "1 s"}},
		{whatif.Doubles, plan.MustParse("--doubles", "pad=drop"), FixChange{Part: &pad, Value: "drop"}},
		{whatif.Voices, plan.Overrides{Voices: plan.All(24), More: plan.All(5)}, FixChange{Number: 24, More: 12}},
		{whatif.Voices, plan.Overrides{More: plan.All(5)}, FixChange{Number: 17, More: 5}},
		{whatif.Banks, plan.MustParse("--banks", "pad=K,L", "--banks", "bass=M"), FixChange{Banks: []PartBanks{{"pad", []string{"K", "L"}}, {"bass", []string{"M"}}}}},
	} {
		c.want.Kind = string(c.kind)
		got := b.changes(&whatif.Fix{Kinds: []whatif.Kind{c.kind}, Each: []plan.Overrides{c.o}, Overrides: c.o})
		require.Equal(t, []FixChange{c.want}, got, "%s", c.kind)
	}
	require.Equal(t, []FixChange{{Kind: "passes", Number: 3}},
		b.changes(&whatif.Fix{Kinds: []whatif.Kind{whatif.Passes}, Each: make([]plan.Overrides, 1), Passes: 3}))
}

// Those that want most for keys and pedals go first, then those with the longest
// tails, then as they were given.
func TestMostFirst(t *testing.T) {
	wants := func(pedal, audible int) *SizeResult { return &SizeResult{Enough: Enough{1, pedal, audible}} }
	s := &SizeSongs{Songs: []*SizeResult{wants(2, 9), wants(3, 4), wants(3, 5), wants(2, 9)}}
	require.Equal(t, []int{2, 1, 0, 3}, s.mostFirst())
}

// A bar is named once, with the most it wants.
func TestShortBars(t *testing.T) {
	var s SizeResult
	for _, at := range [][2]int{{8, 20}, {8, 23}, {8, 21}, {9, 22}} {
		s.shortIn(at[0], at[1])
	}
	require.Equal(t, []ShortBar{{8, 23}, {9, 22}}, s.ShortBars)
}
