package plan

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/routing"
)

func TestOverridesOfRules(t *testing.T) {
	p := build(t, twoParts, MustParse("--pick", "lowest", "--pick", "bass=same-key then round-robin", "--steal", "pad=quietest", "--tails", "unknown",
		"--same-key", "bass=stack lifo", "--same-key", "bass=stack lifo")) // twice the same is no conflict
	pad, bass := p.Rules.Config.Parts[0], p.Rules.Config.Parts[1]
	require.Equal(t, alloc.PickLowest, pad.Pick)
	require.Equal(t, alloc.PickSameKey, bass.Pick)
	require.Equal(t, alloc.PickRoundRobin, bass.Second)
	require.Equal(t, alloc.StealQuietest, pad.Steal)
	require.Equal(t, alloc.StealLowest, bass.Steal, "as the rig says")
	require.True(t, pad.TailsUnknown && bass.TailsUnknown)
	require.Equal(t, alloc.RetriggerCounted, pad.SameKey)
	require.Equal(t, alloc.StackLIFO, bass.SameKey)
}

func TestOverridingAFixedMap(t *testing.T) {
	const rig = "rig: F\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 2, out: [1]}}\nparts: {p: {pick: {fixed: {60: K1}}}}\n"
	require.NotEmpty(t, build(t, rig, Overrides{}).Findings)
	p := build(t, rig, MustParse("--pick", "nearest"))
	require.Equal(t, alloc.PickNearest, p.Rules.Config.Parts[0].Pick)
	require.Nil(t, p.Rules.Config.Parts[0].Fixed)
	require.Empty(t, p.Findings)
}

// standings returns a letter for each voice: i in, o out.
func standings(p *Plan) string {
	var b strings.Builder
	for _, v := range p.Rules.Config.Voices {
		b.WriteByte("iols"[v.State])
	}
	return b.String()
}

func TestVoicesKeepsTheFirstInService(t *testing.T) {
	for _, c := range []struct {
		voices []For[int]
		want   string // K1–K4 with K2 out, then L1–L4
	}{
		{nil, "ioiiiiii"},
		{All(7), "ioiiiiii"},
		{All(3), "ioiioooo"},
		{All(1), "iooooooo"},
		{Only("bass", 2), "ioiiiioo"},
		{append(Only("bass", 2), Only("pad", 1)...), "ioooiioo"},
	} {
		require.Equal(t, c.want, standings(build(t, twoParts, Overrides{Voices: c.voices})), "%v", c.voices)
	}
}

func TestReleaseOfVoices(t *testing.T) {
	p := build(t, twoParts, MustParse("--release", "1.2 s", "--release", "bass=250ms"))
	require.Equal(t, 1200*time.Millisecond, p.Rules.Config.Voices[3].Envelope.Release)
	require.Equal(t, 250*time.Millisecond, p.Rules.Config.Voices[4].Envelope.Release)
	p = build(t, twoParts, MustParse("--release", "pad=0 s"))
	require.Equal(t, time.Duration(0), p.Rules.Config.Voices[0].Envelope.Release)
	require.Equal(t, 1500*time.Millisecond, p.Rules.Config.Voices[4].Envelope.Release, "as the rig says")
}

const shared = "rig: S\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}}\nparts: {pad: {channel: 1}, lead: {channel: 2}}\n"

const sixteen = "rig: S\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 16}}\n"

func TestPartsThatShareABankMayAgreeOnARelease(t *testing.T) {
	p := build(t, shared, MustParse("--release", "pad=1 s", "--release", "lead=1 s"))
	require.Equal(t, time.Second, p.Rules.Config.Voices[0].Envelope.Release)
	p = build(t, shared, MustParse("--release", "pad=1 s", "--release", "1 s"))
	require.Equal(t, time.Second, p.Rules.Config.Voices[0].Envelope.Release)
}

func TestUnisonChangesStacksAndFindings(t *testing.T) {
	const rig = "rig: F\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 5}}\nparts: {p: {channel: 1, unison: {voices: 2}}, q: {channel: 2}}\n"
	stacks := func(o Overrides) ([]int, [][]int, []routing.Code) {
		p := build(t, rig, o)
		var codes []routing.Code
		for _, f := range p.Findings {
			codes = append(codes, f.Code)
		}
		return []int{p.Rules.Config.Parts[0].Unison.Voices, p.Rules.Config.Parts[1].Unison.Voices}, p.Rules.Config.Parts[0].Unison.Blocks, codes
	}
	voices, blocks, codes := stacks(Overrides{})
	require.Equal(t, []int{2, 1}, voices)
	require.Equal(t, [][]int{{0, 1}, {2, 3}}, blocks)
	require.ElementsMatch(t, []routing.Code{routing.UnisonRemainder, routing.PanCentred}, codes)
	voices, blocks, codes = stacks(Overrides{Unison: Only("p", 5)})
	require.Equal(t, []int{5, 1}, voices)
	require.Equal(t, [][]int{{0, 1, 2, 3, 4}}, blocks)
	require.NotContains(t, codes, routing.UnisonRemainder)
	voices, blocks, codes = stacks(Overrides{Unison: All(1)})
	require.Equal(t, []int{1, 1}, voices)
	require.Empty(t, blocks)
	require.Empty(t, codes)
}

func TestRefusedOverrides(t *testing.T) {
	for _, c := range []struct {
		rig   string
		typed []string
		want  string // message, then the hint after a bar
	}{
		{twoParts, []string{"--pick", "lowest", "--pick", "nearest"}, "--pick nearest: at odds with --pick lowest, both are for every part | aim one of them at a part, such as --pick pad=nearest"},
		{twoParts, []string{"--pick", "pad=lowest", "--pick", "pad=nearest"}, "--pick pad=nearest: at odds with --pick pad=lowest, both are for part pad | "},
		{twoParts, []string{"--steal", "bas=oldest"}, `--steal bas=oldest: no part "bas" in the rig, its parts are pad, bass | did you mean bass?`},
		{twoParts, []string{"--steal", "fewest-cut"}, `--steal fewest-cut: unknown stealing rule "fewest-cut", there are ` + strings.Join(alloc.StealNames(), ", ") + " | did you mean fewest-cuts?"},
		{twoParts, []string{"--pick", "fixed"}, "--pick fixed: fixed needs a voice for each key | write it into the rig, as pick: {fixed: {60: K1}}"},
		{twoParts, []string{"--pick", "lowest then nearest"}, "--pick lowest then nearest: only same-key has a second rule | "},
		{twoParts, []string{"--pick", "same-key then same-key"}, `--pick same-key then same-key: unknown second rule "same-key", there are longest-idle, lowest, round-robin, strict-round-robin, bank-spread, bank-fill, nearest, random | `},
		{twoParts, []string{"--pick", "oldest"}, `--pick oldest: unknown picking rule "oldest", there are ` + strings.Join(PickNames(), ", ") + " | oldest is a stealing rule"},
		{twoParts, []string{"--pick", "same-key then none"}, `--pick same-key then none: unknown second rule "none", there are ` + strings.Join(without(PickNames(), alloc.PickSameKey), ", ") + " | none is a stealing rule"},
		{twoParts, []string{"--steal", "round-robin"}, `--steal round-robin: unknown stealing rule "round-robin", there are ` + strings.Join(alloc.StealNames(), ", ") + " | round-robin is a picking rule"},
		{twoParts, []string{"--steal", "lowst"}, `--steal lowst: unknown stealing rule "lowst", there are ` + strings.Join(alloc.StealNames(), ", ") + " | did you mean lowest?"},
		{twoParts, []string{"--same-key", "same-key"}, `--same-key same-key: unknown same-key rule "same-key", there are ` + strings.Join(alloc.SameKeyNames(), ", ") + " | same-key is a picking rule"},
		{twoParts, []string{"--tails", "=known"}, `--tails =known: found no part before "=" | leave = out for every part`},
		{twoParts, []string{"--tails", "know"}, `--tails know: found "know", want known or unknown | did you mean known?`},
		{twoParts, []string{"--same-key", ""}, `--same-key : unknown same-key rule "", there are ` + strings.Join(alloc.SameKeyNames(), ", ") + " | "},
		{twoParts, []string{"--voices", "8"}, "--voices 8: only 7 voices are in service in the rig | --more 1 plays on that many, with voices that are not there yet"},
		{twoParts, []string{"--voices", "pad=4"}, "--voices pad=4: only 3 voices are in service in the banks of part pad | "},
		{twoParts, []string{"--voices", "0"}, `--voices 0: found "0", want how many voices to keep, from 1 | `},
		{twoParts, []string{"--voices", "4", "--voices", "pad=2"}, "--voices 4: this is for the whole rig, and another is aimed at a part | give one or the other"},
		{shared, []string{"--voices", "pad=2"}, "--voices pad=2: part pad shares a bank with part lead | give --voices for the whole rig, or the part a bank of its own"},
		{shared, []string{"--release", "pad=1 s"}, "--release pad=1 s: part pad shares a bank with part lead, and a voice has one release | aim the same release at both, or give the part banks of its own"},
		{twoParts, []string{"--release", "1.2"}, `--release 1.2: found "1.2", want the time in which a tail falls by 60 dB, from 0 s to 600 s | write 1.2 s, or 1.2 ms`},
		{twoParts, []string{"--release", "601 s"}, `--release 601 s: found "601 s", want at most 600 s | `},
		{twoParts, []string{"--unison", "bass=5"}, "--unison bass=5: part bass has 4 voices in its banks | give it more banks, or a smaller unison"},
		{twoParts, []string{"--unison", "2", "--unison", "bass=3", "--unison", "bass=4"}, "--unison bass=4: at odds with --unison bass=3, both are for part bass | "},
		{twoParts, []string{"--unison", "two"}, `--unison two: found "two", want how many voices play a note, from 1 to 64 | `},
		{twoParts, []string{"--unison", "65"}, `--unison 65: found "65", want how many voices play a note, from 1 to 64 | `},
		{sixteen, []string{"--unison", "13"}, "--unison 13: found 13 voices in unison, but the uneven pattern ends at 12 voices: take even, golden or random, or stacks of at most 12 voices | "},
	} {
		err := refusal(t, c.rig, c.typed)
		var refused *OverrideError
		require.ErrorAs(t, err, &refused, c.want)
		require.Equal(t, c.want, refused.Error()+" | "+refused.Hint)
	}
}

// refusal is what is wrong with overrides as they are typed, by themselves or on a rig.
func refusal(t *testing.T, rig string, typed []string) error {
	t.Helper()
	o, err := ParseFlags(typed)
	if err == nil {
		_, err = Build(read(t, rig), o)
	}
	return err
}

func TestOverridesOfShares(t *testing.T) {
	p := build(t, twoParts, MustParse("--limit", "pad=2", "--priority", "bass=3", "--mode", "bass=mono high", "--unison", "pad=2", "--when-short", "thin"))
	pad, bass := p.Rules.Config.Parts[0], p.Rules.Config.Parts[1]
	require.Equal(t, []int{2, 1, 3}, []int{pad.Limit, pad.Priority, bass.Priority})
	require.Equal(t, []alloc.Mode{alloc.Poly, alloc.MonoHigh}, []alloc.Mode{pad.Mode, bass.Mode})
	require.Equal(t, []alloc.WhenShort{alloc.Thin, alloc.Thin}, []alloc.WhenShort{pad.Unison.WhenShort, bass.Unison.WhenShort})
	const mono = "rig: M\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}}\nparts: {p: {mode: mono last, reattack: press, unison: {voices: 2, when_short: elastic, regrow: true}}}\n"
	q := build(t, mono, MustParse("--mode", "poly", "--when-short", "wait")).Rules.Config.Parts[0]
	require.False(t, q.ReattackPress, "every note of a chord has its own attack")
	require.False(t, q.Unison.Regrow, "only elastic notes regrow")
}

func TestSharesThatCannotBe(t *testing.T) {
	for _, c := range []struct{ flags, want string }{
		{"--limit pad=0", `--limit pad=0: found "0", want the most voices that the part may hold, from 1 to 4096`},
		{"--priority 101", `--priority 101: found "101", want the rank of the part, 1 is highest, from 1 to 100`},
		{"--mode mono", `--mode mono: found "mono", want poly, mono last, mono low or mono high`},
		{"--when-short cut", `--when-short cut: found "cut", want blocks, thin, wait or elastic`},
		{"--limit pad=1 --reserve pad=2", "--limit pad=1: 2 voices are kept for part pad"},
		{"--limit pad=1 --unison pad=2", "--limit pad=1: a note of part pad takes 2 voices"},
	} {
		o, err := ParseFlags(strings.Fields(c.flags))
		if err == nil {
			_, err = Build(read(t, twoParts), o)
		}
		require.EqualError(t, err, c.want)
	}
}
