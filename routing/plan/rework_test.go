package plan

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
)

func TestOverridesOfTheRack(t *testing.T) {
	p := build(t, twoParts, Overrides{Banks: []string{"pad=L,K"}, Reserve: []string{"bass=2"}})
	require.Equal(t, []int{0, 1}, p.Rules.Config.Parts[0].Banks)
	require.Equal(t, 2, p.Rules.Config.Parts[1].Reserve)

	p = build(t, twoParts, Overrides{Without: []string{"K1, L4", "L1"}})
	require.Equal(t, "ooiioiio", standings(p))

	p = build(t, twoParts, Overrides{More: []string{"3"}})
	require.Equal(t, "M3", p.Rig.Voices[len(p.Rig.Voices)-1].Name)
	require.Equal(t, "ioiiiiiiiii", standings(p))
	for _, part := range p.Rules.Config.Parts {
		require.Contains(t, part.Banks, 2)
	}
	p = build(t, twoParts, Overrides{More: []string{"bass=2", "pad=1"}, Banks: []string{"bass=M"}})
	require.Equal(t, []int{0, 2}, p.Rules.Config.Parts[0].Banks, "pad's own bank is C, the first part's")
	require.Equal(t, []int{2}, p.Rules.Config.Parts[1].Banks)
	require.Equal(t, p.Rules.Config.Voices[7].Envelope, p.Rules.Config.Voices[8].Envelope, "like the last bank")
}

func TestOverridesOfTheRackThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		o    Overrides
		want string
	}{
		{Overrides{Banks: []string{"pad=Z"}}, `--banks pad=Z: unknown bank "Z", there are K, L`},
		{Overrides{Without: []string{"M1"}}, `--without M1: no voice "M1", the voices are K1 to L4`},
		{Overrides{Reserve: []string{"bass=9"}}, "--reserve bass=9: 9 voices are kept together, more than are in service in the banks of bass"},
		{Overrides{Reserve: []string{"bass=-1"}}, `--reserve bass=-1: found "-1", want how many voices to keep for the part, from 0`},
		{Overrides{More: []string{"0"}}, `--more 0: found "0", want how many voices to add, from 1`},
		{Overrides{More: []string{"4096"}}, "--more 4096: that makes 4104 voices, at most 4096"},
		{Overrides{Trim: []string{"80"}}, `--trim 80: found "80", want the longest overlap to cut off, from 0 s to 10 s`},
		{Overrides{Lift: []string{"11 s"}}, `--lift 11 s: found "11 s", want at most 10 s`},
		{Overrides{Doubles: []string{"dorp"}}, `--doubles dorp: found "dorp", want keep or drop`},
	} {
		_, err := Build(read(t, twoParts), c.o)
		require.EqualError(t, err, c.want)
	}
}

func TestOverridesOfTheSong(t *testing.T) {
	p := build(t, twoParts, Overrides{Trim: []string{"pad=80 ms"}, Lift: []string{"0.25 s"}, Doubles: []string{"drop", "bass=keep"}})
	require.Equal(t, []study.Edit{
		{Trim: 80 * time.Millisecond, Lift: 250 * time.Millisecond, DropDoubles: true},
		{Lift: 250 * time.Millisecond},
	}, p.Edits)
}
