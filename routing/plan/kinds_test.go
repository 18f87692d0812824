package plan

import (
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/purchase"
)

func TestOverridesWithOthersOnTop(t *testing.T) {
	base := MustParse("--pick", "lowest", "--pick", "pad=nearest", "--voices", "10")
	require.Equal(t, MustParse("--pick", "random", "--voices", "10"), base.With(MustParse("--pick", "random")))
	require.Equal(t, MustParse("--pick", "lowest", "--pick", "pad=random", "--voices", "12"),
		base.With(MustParse("--pick", "pad=random", "--voices", "12")))
	require.Equal(t, MustParse("--pick", "lowest", "--pick", "pad=nearest", "--pick", "bass=random", "--voices", "10", "--banks", "bass=P"),
		base.With(MustParse("--pick", "bass=random", "--banks", "bass=P")))
	require.Equal(t, []string{"K1", "L2"}, Overrides{Without: []string{"K1"}}.With(Overrides{Without: []string{"L2"}}).Without)
	require.Equal(t, []string{"--voices", "10", "--pick", "lowest", "--pick", "pad=nearest"}, base.Flags())
	require.True(t, Overrides{}.IsZero())
	require.False(t, base.IsZero() || base.EditsSong())
	require.True(t, MustParse("--lift", "1 s").EditsSong())
}

// Every override has a flag.
func TestKindsAreAll(t *testing.T) {
	require.Len(t, kinds, reflect.TypeFor[Overrides]().NumField())
	seen := map[string]bool{}
	for _, k := range kinds {
		seen[k.name()] = true
	}
	require.Len(t, seen, len(kinds))
}

func TestParseFlags(t *testing.T) {
	o := MustParse("--without", "K1, L2,K1", "--pick", " pad = nearest", "--pick", "same-key then longest-idle", "--trim", "0.08 s", "--release", "1200ms", "--voices", "08")
	require.Equal(t, []string{"--voices", "8", "--without", "K1", "--without", "L2", "--release", "1.2 s",
		"--pick", "pad=nearest", "--pick", "same-key", "--trim", "80 ms"}, o.Flags())
	_, err := ParseFlags([]string{"--pik", "x"})
	require.EqualError(t, err, "--pik: there is no such override")
	_, err = ParseFlags([]string{"--out", "K1"})
	require.EqualError(t, err, "--out: that is where live writes; a voice is left out by --without")
	_, err = ParseFlags([]string{"--pick"})
	require.EqualError(t, err, "--pick: it needs a value")
	_, err = ParseFlags(make([]string, 3))
	require.Error(t, err)
	require.Panics(t, func() { MustParse("--pick", "x") })
	_, err = ParseWords([]Word{WordOf("same_key", "pad", "x")})
	require.ErrorContains(t, err, `--same-key pad=x: unknown same-key rule "x"`)
	_, err = ParseWords([]Word{WordOf("samekey", "pad", "x")})
	require.EqualError(t, err, "--samekey: there is no such override")
}

// What is written is read as the same overrides, and what is read is written the
// same again. Times are drawn to the nanosecond, the finest there is.
func TestWhatIsWrittenIsReadTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := anyOverrides(t)
		back, err := ParseFlags(o.Flags())
		require.NoError(t, err)
		require.Equal(t, o, back)
		require.Equal(t, o.Flags(), back.Flags())
		back, err = ParseWords(o.Words())
		require.NoError(t, err)
		require.Equal(t, o, back, "one by one")
		for _, w := range o.Words() {
			require.Equal(t, w, WordOf(w.Kind(), w.Part, w.Value))
		}
		require.Equal(t, o.Code("N2YMJ7Q3"), back.Code("N2YMJ7Q3"))
	})
}

func TestTypedTime(t *testing.T) {
	for d, want := range map[time.Duration]string{0: "0 s", 1: "0.000001 ms", 80 * time.Millisecond: "80 ms", 999999999: "999.999999 ms", time.Second: "1 s",
		1200 * time.Millisecond: "1.2 s", 2202009487: "2.202009487 s", 600 * time.Second: "600 s", 10*time.Second + 1: "10.000000001 s"} {
		require.Equal(t, want, TypedTime(d))
	}
}

// anyOverrides draws overrides of every kind, as far as a kind by itself knows.
func anyOverrides(t *rapid.T) Overrides {
	name := rapid.StringMatching(`[a-z][a-z0-9-]{0,3}`)
	names := rapid.SliceOfNDistinct(name, 1, 3, rapid.ID)
	pick := rapid.Custom(func(t *rapid.T) Pick {
		p := Pick{First: rapid.SampledFrom(rulesOf(PickNames(), alloc.ParsePick)).Draw(t, "first")}
		if p.First == alloc.PickSameKey {
			p.Second = rapid.SampledFrom(rulesOf(without(PickNames(), alloc.PickSameKey), alloc.ParsePick)).Draw(t, "second")
		}
		return p
	})
	edits := rapid.Custom(func(t *rapid.T) Sooner {
		return Sooner{time.Duration(rapid.Int64Range(0, int64(maxEdit)).Draw(t, "by")), rapid.Bool().Draw(t, "when short")}
	})
	releases := rapid.Map(rapid.Int64Range(0, int64(maxRelease)), func(n int64) time.Duration { return time.Duration(n) })
	o := Overrides{
		Pick:    aimed(t, pick),
		Steal:   aimed(t, rapid.SampledFrom(rulesOf(alloc.StealNames(), alloc.ParseSteal))),
		Tails:   aimed(t, rapid.Bool()),
		SameKey: aimed(t, rapid.SampledFrom(rulesOf(alloc.SameKeyNames(), alloc.ParseSameKey))),
		Voices:  aimed(t, rapid.IntRange(1, 5000)),
		Release: aimed(t, releases),
		Unison:  aimed(t, rapid.IntRange(1, 64)),
		Banks: aimed(t, rapid.Custom(func(t *rapid.T) (seats Seats) {
			for i := range rapid.IntRange(1, 3).Draw(t, "seats") {
				seats = append(seats, Seat{midi.Key(40 * i), names.Draw(t, "banks")})
			}
			return seats
		})),
		Reserve: aimed(t, rapid.IntRange(0, alloc.MaxVoices)),
		Limit:   aimed(t, rapid.IntRange(1, alloc.MaxVoices)), Priority: aimed(t, rapid.IntRange(1, 100)),
		Mode:      aimed(t, rapid.SampledFrom([]profiles.Mode{profiles.Poly, profiles.MonoLast, profiles.MonoLow, profiles.MonoHigh})),
		WhenShort: aimed(t, rapid.SampledFrom([]profiles.WhenShort{profiles.Blocks, profiles.Thin, profiles.Wait, profiles.Elastic})),
		Transpose: aimed(t, rapid.IntRange(-48, 48)),
		More:      aimed(t, rapid.IntRange(1, alloc.MaxVoices)),
		Buy: aimed(t, rapid.Custom(func(t *rapid.T) Buy {
			return Buy{rapid.IntRange(1, purchase.Most).Draw(t, "banks"), rapid.StringMatching(`[a-zA-Z][a-z0-9-]{0,3}`).Draw(t, "like")}
		})),
		Trim: aimed(t, edits), Lift: aimed(t, edits), Shorten: aimed(t, edits), Doubles: aimed(t, rapid.Bool()),
	}
	if rapid.Bool().Draw(t, "out") {
		o.Without = names.Draw(t, "without")
	}
	return o
}

// aimed draws up to three values, each for every part or for one.
func aimed[T any](t *rapid.T, values *rapid.Generator[T]) (list []For[T]) {
	for range rapid.IntRange(0, 3).Draw(t, "values") {
		list = append(list, For[T]{rapid.SampledFrom([]string{"", "pad", "bass-2"}).Draw(t, "part"), values.Draw(t, "value")})
	}
	return list
}

// rulesOf are the rules of these names.
func rulesOf[R any](names []string, parse func(string) (R, error)) (rules []R) {
	for _, name := range names {
		r, _ := parse(name)
		rules = append(rules, r)
	}
	return rules
}
