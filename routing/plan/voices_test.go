package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// The demo has five banks of four voices, one of them out: 19 in service. All parts play
// everywhere. Fewer keep the first, more are whole banks of four.
func TestForVoices(t *testing.T) {
	rig, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	for _, c := range []struct {
		from   string // a flag and its value
		n      int
		flags  []string
		voices int
	}{
		{"", 19, nil, 19},
		{"", 10, []string{"--voices", "10"}, 10},
		{"", 0, []string{"--voices", "1"}, 1},
		{"10", 12, []string{"--voices", "12"}, 12},
		{"10", 19, nil, 19},
		{"", 20, []string{"--buy", "1xP"}, 23},
		{"", 23, []string{"--buy", "1xP"}, 23},
		{"", 24, []string{"--buy", "2xP"}, 27},
		{"10", 24, []string{"--buy", "2xP"}, 27},
		{"1xP", 22, nil, 19}, // one fewer than 23
		{"2xP", 26, []string{"--buy", "1xP"}, 23},
		{"2xP", 5, []string{"--voices", "5"}, 5},
	} {
		var o Overrides
		switch {
		case len(c.from) > 2:
			o = MustParse("--buy", c.from)
		case c.from != "":
			o = MustParse("--voices", c.from)
		}
		got, err := o.ForVoices(rig, "", c.n)
		require.NoError(t, err, "%v", c)
		require.Equal(t, c.flags, got.Flags(), "%v", c)
		p, err := Draft(rig, got)
		require.NoError(t, err)
		require.Equal(t, c.voices, p.InService(), "%v", c)
		there, bank, err := p.Racked("")
		require.NoError(t, err)
		require.Equal(t, []int{19, 4}, []int{there, bank})
	}

	// A part is limited, and the others are as they were; beyond its voices banks are bought.
	for n, flags := range map[int][]string{8: {"--limit", "bass=3", "--limit", "pad=8"}, 19: {"--limit", "bass=3"}, 21: {"--buy", "1xP", "--limit", "bass=3"}} {
		got, err := MustParse("--limit", "bass=3", "--limit", "pad=5").ForVoices(rig, "pad", n)
		require.NoError(t, err)
		require.Equal(t, flags, got.Flags())
	}

	// Before any is bought those come back that a number of voices left out.
	for n, flags := range map[int][]string{8: {"--voices", "10", "--limit", "pad=8"}, 10: {"--voices", "10"}, 12: {"--limit", "pad=12"}, 19: nil, 20: {"--buy", "1xP"}} {
		got, err := MustParse("--voices", "10").ForVoices(rig, "pad", n)
		require.NoError(t, err)
		require.Equal(t, flags, got.Flags())
		p, err := Draft(rig, got)
		require.NoError(t, err)
		there, _, err := p.Racked("pad")
		require.NoError(t, err)
		require.Equal(t, 19, there)
	}

	// What no bank could be bought for is refused, with the reason.
	_, err = Overrides{}.ForVoices(rig, "", 2000)
	var refused *OverrideError
	require.ErrorAs(t, err, &refused)
	require.Contains(t, refused.Error(), "the rack cannot hold that")
}
