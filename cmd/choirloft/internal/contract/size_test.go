package contract

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/profiles"
	"choirloft/routing/advise"
	"choirloft/routing/plan"
)

// What a remedy changes is told by kind: the part it is for, and its value.
func TestFixChanges(t *testing.T) {
	b := &sizer{in: SizeInput{Now: &study.Replay{}}, rig: &profiles.Rig{MiddleC: 4}}
	b.in.Now.Rig.Voices = 12
	pad, bass := "pad", "bass"
	one := func(c FixChange) []FixChange { return []FixChange{c} }
	for flags, want := range map[string][]FixChange{
		"--pick;same-key then lowest":            one(FixChange{Kind: "pick", Value: "same-key then lowest"}),
		"--tails;known":                          one(FixChange{Kind: "tails", Value: "known"}),
		"--reserve;bass=2":                       one(FixChange{Kind: "reserve", Part: &bass, Number: 2}),
		"--limit;bass=2":                         one(FixChange{Kind: "limit", Part: &bass, Number: 2}),
		"--mode;bass=mono last":                  one(FixChange{Kind: "mode", Part: &bass, Value: "mono last"}),
		"--release;pad=1.2 s":                    one(FixChange{Kind: "release", Part: &pad, Value: "1.2 s"}),
		"--steal;pad=oldest;--steal;bass=oldest": {{Kind: "steal", Part: &pad, Value: "oldest"}, {Kind: "steal", Part: &bass, Value: "oldest"}},
		"--voices;24;--more;5":                   one(FixChange{Kind: "voices", Number: 24, More: 12}),
		"--more;5":                               one(FixChange{Kind: "voices", Number: 17, More: 5}),
		"--banks;pad=K,L;--banks;bass=M":         one(FixChange{Kind: "banks", Banks: []PartBanks{{Part: "pad", Banks: []string{"K", "L"}}, {Part: "bass", Banks: []string{"M"}}}}),
		"--banks;pad=K/60/L,M":                   one(FixChange{Kind: "banks", Banks: []PartBanks{{Part: "pad", Banks: []string{"K"}}, {"pad", []string{"L", "M"}, 60, "C4"}}}),
	} {
		require.Equal(t, want, b.changes(&advise.Fix{More: want[0].More}, plan.MustParse(strings.Split(flags, ";")...)), flags)
	}
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
