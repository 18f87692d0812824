package plan

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

func TestOverridesOfTheRack(t *testing.T) {
	p := build(t, twoParts, MustParse("--banks", "pad=L,K", "--reserve", "bass=2"))
	require.Equal(t, []int{0, 1}, p.Rules.Config.Parts[0].Banks)
	require.Equal(t, 2, p.Rules.Config.Parts[1].Reserve)

	p = build(t, twoParts, MustParse("--without", "K1, L4", "--without", "L1"))
	require.Equal(t, "ooiioiio", standings(p))

	p = build(t, twoParts, Overrides{More: All(3)})
	require.Equal(t, "M3", p.Rig.Voices[len(p.Rig.Voices)-1].Name)
	require.Equal(t, "ioiiiiiiiii", standings(p))
	for _, part := range p.Rules.Config.Parts {
		require.Contains(t, part.Banks, 2)
	}
	p = build(t, twoParts, MustParse("--more", "bass=2", "--more", "pad=1", "--banks", "bass=M"))
	require.Equal(t, []int{0, 2}, p.Rules.Config.Parts[0].Banks, "pad's own bank is C, the first part's")
	require.Equal(t, []int{2}, p.Rules.Config.Parts[1].Banks)
	require.Equal(t, p.Rules.Config.Voices[7].Envelope, p.Rules.Config.Voices[8].Envelope, "like the last bank")
}

func TestOverridesOfTheRackThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		typed []string
		want  string
	}{
		{[]string{"--banks", "pad=Z"}, `--banks pad=Z: unknown bank "Z", there are K, L`},
		{[]string{"--without", "M1"}, `--without M1: no voice "M1", the voices are K1 to L4`},
		{[]string{"--reserve", "bass=9"}, "--reserve bass=9: 9 voices are kept together, more than are in service in the banks of bass"},
		{[]string{"--reserve", "bass=-1"}, `--reserve bass=-1: found "-1", want how many voices to keep for the part, from 0`},
		{[]string{"--more", "0"}, `--more 0: found "0", want how many voices to add, from 1`},
		{[]string{"--more", "4096"}, "--more 4096: that makes 4104 voices, at most 4096"},
		{[]string{"--transpose", "bass=49"}, `--transpose bass=49: found "49", want semitones, from -48 to 48`},
		{[]string{"--transpose", "up"}, `--transpose up: found "up", want semitones, from -48 to 48`},
		{[]string{"--trim", "80"}, `--trim 80: found "80", want the longest overlap to cut off, from 0 s to 10 s`},
		{[]string{"--lift", "11 s"}, `--lift 11 s: found "11 s", want at most 10 s`},
		{[]string{"--doubles", "dorp"}, `--doubles dorp: found "dorp", want keep or drop`},
	} {
		require.EqualError(t, refusal(t, twoParts, c.typed), c.want)
	}
}

func TestTranspose(t *testing.T) {
	p := build(t, twoParts, MustParse("--transpose", "+12", "--transpose", "bass=-24"))
	require.Equal(t, []int{12, -24}, []int{p.Rules.Config.Parts[0].Transpose, p.Rules.Config.Parts[1].Transpose})
	require.Equal(t, []string{"--transpose", "12", "--transpose", "bass=-24"}, p.Overrides.Flags())
}

// 0 V is key 24 in place of 36, so the range of 5 V is keys 24 to 84.
func TestZeroKey(t *testing.T) {
	for _, flag := range []string{"24", "main=24"} {
		p := build(t, twoParts, MustParse("--zero-key", flag))
		for _, v := range p.Rules.Config.Voices {
			require.Equal(t, alloc.Window{Bounded: true, Low: 24, High: 84}, v.Window)
		}
		require.Equal(t, 36, p.Unchanged.Interfaces[0].ZeroKey)
		require.Equal(t, []string{"--zero-key", flag}, p.Overrides.Flags())
	}
	for _, c := range []struct {
		rig   string
		typed []string
		want  string
	}{
		{twoParts, []string{"--zero-key", "box=24"}, `--zero-key box=24: no interface "box" in the rig, its interfaces are main`},
		{twoParts, []string{"--zero-key", "main=128"}, `--zero-key main=128: found "128", want the key at 0 V, from 0 to 127`},
		{twoParts, []string{"--zero-key", "F1"}, `--zero-key F1: found "F1", want the key at 0 V, from 0 to 127`},
		{twoParts, []string{"--zero-key", "=24"}, `--zero-key =24: found no interface before "="`},
		{twoParts, []string{"--zero-key", "main=24", "--zero-key", "main=25"}, `--zero-key main=25: at odds with --zero-key main=24, both are for interface main`},
		{twoParts, []string{"--zero-key", "24", "--zero-key", "25"}, `--zero-key 25: at odds with --zero-key 24, both are for every interface`},
		{"rig: R\nbanks: {K: {voices: 1}}\n", []string{"--zero-key", "24"}, `--zero-key 24: the rig has no interface`},
		{"rig: R\ninterfaces: {main: {profile: cv8-gate8, scale: 261.63 Hz at 1 V}}\nbanks: {K: {voices: 1}}\n", []string{"--zero-key", "24"},
			`--zero-key 24: interface main goes by hertz a volt, and no key is at 0 V`},
	} {
		require.EqualError(t, refusal(t, c.rig, c.typed), c.want)
	}
}

func TestOverridesOfTheSong(t *testing.T) {
	p := build(t, twoParts, MustParse("--trim", "pad=80 ms", "--lift", "0.25 s when short", "--doubles", "drop", "--doubles", "bass=keep"))
	require.Equal(t, []study.Edit{
		{Trim: 80 * time.Millisecond, Lift: 250 * time.Millisecond, LiftShort: true, DropDoubles: true},
		{Lift: 250 * time.Millisecond, LiftShort: true},
	}, p.Edits)
}
