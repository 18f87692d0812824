package plan

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Without overrides the code is the rig's own, so that what was printed before
// there were codes of plans is told apart as ever. The other was worked out with
// Python's hashlib 3.11 from the words of Code and of profiles.Fingerprint.
func TestCode(t *testing.T) {
	p := build(t, twoParts, Overrides{})
	require.Equal(t, p.Unchanged.Fingerprint(), p.Code())
	require.Equal(t, "N2YMJ7Q3", Overrides{}.Code("N2YMJ7Q3"))
	require.Equal(t, "7KPQMV8M", MustParse("--voices", "8", "--without", "L2,K1", "--pick", "pad=lowest", "--trim", "80 ms").Code("N2YMJ7Q3"))
}

// Two values of each override give two codes, and no two of all are the same.
func TestCodeChangesWithEveryOverride(t *testing.T) {
	values := map[string][]string{
		"--voices": {"8", "7", "bass=2"}, "--without": {"K1", "K3", "K1,K3"}, "--more": {"2", "3", "pad=2"}, "--buy": {"1xK", "2xK", "1xL"}, "--banks": {"pad=L", "pad=K,L", "bass=K,L"},
		"--reserve": {"bass=1", "bass=2"}, "--unison": {"2", "3", "pad=2"}, "--release": {"1.2 s", "1.3 s", "pad=1.2 s"},
		"--pick": {"lowest", "nearest", "pad=lowest", "same-key then lowest"}, "--steal": {"oldest", "none"}, "--tails": {"known", "unknown"},
		"--limit": {"pad=3", "pad=4"}, "--priority": {"pad=2", "2"}, "--mode": {"bass=mono last", "bass=mono low"}, "--when-short": {"thin", "wait"}, "--transpose": {"12", "bass=12", "bass=-12"}, "--zero-key": {"36", "24", "main=36"},
		"--same-key": {"stack lifo", "stack fifo"}, "--trim": {"80 ms", "90 ms", "80 ms when short"}, "--lift": {"80 ms", "90 ms"}, "--shorten": {"80 ms", "90 ms", "80 ms when short"}, "--doubles": {"keep", "drop"},
	}
	require.Len(t, values, len(kinds), "every override has a row")
	mine := build(t, twoParts, Overrides{})
	seen := map[string]string{mine.Code(): "no override"}
	for _, k := range kinds {
		require.GreaterOrEqual(t, len(values[k.name()]), 2, k.name())
		for _, value := range values[k.name()] {
			o := MustParse(k.name(), value)
			code := o.Code(mine.Code())
			if p, err := Build(mine.Unchanged, o); err == nil {
				require.Equal(t, code, p.Code())
			}
			require.Regexp(t, `^[0-9A-HJKMNP-TV-Z]{8}$`, code)
			require.Empty(t, seen[code], "%s %s", k.name(), value)
			seen[code] = k.name() + " " + value
			require.NotEqual(t, code, o.Code("N2YMJ7Q3"), "another rig")
		}
	}
}

// What makes the same plan in other words has the same code.
func TestCodeOfTheSamePlan(t *testing.T) {
	flags := [][2]string{{"--pick", "lowest"}, {"--pick", "bass=nearest"}, {"--without", "K1"}, {"--without", "L2"}, {"--voices", "4"}, {"--release", "1.2 s"}, {"--unison", "pad=2"}}
	code := func(flags [][2]string) string {
		var words []string
		for _, f := range flags {
			words = append(words, f[0], f[1])
		}
		o, err := ParseFlags(words)
		require.NoError(t, err)
		return build(t, twoParts, o).Code()
	}
	want := code(flags)
	r := rand.New(rand.NewPCG(1, 1))
	for range 20 {
		r.Shuffle(len(flags), func(i, j int) { flags[i], flags[j] = flags[j], flags[i] })
		require.Equal(t, want, code(flags), "%v", flags)
	}
	require.Equal(t, want, code(append(flags, flags[0])), "twice the same")
	for _, c := range [][2]Overrides{
		{MustParse("--without", "K1,L2"), MustParse("--without", "L2", "--without", " K1")},
		{MustParse("--banks", "pad=K,L"), MustParse("--banks", " pad = L, K")},
		{MustParse("--release", "1.2 s"), MustParse("--release", "1200ms")},
		{MustParse("--trim", "pad=0.08 s"), MustParse("--trim", "pad=80 ms")},
	} {
		require.Equal(t, build(t, twoParts, c[0]).Code(), build(t, twoParts, c[1]).Code(), "%v", c)
	}
	require.NotEqual(t, build(t, twoParts, Overrides{Voices: All(7)}).Code(), build(t, twoParts, Overrides{}).Code(),
		"seven are in service, and yet it was asked for")
	require.NotEqual(t, code([][2]string{{"--trim", "80 ms"}}), code([][2]string{{"--lift", "80 ms"}}))
}
