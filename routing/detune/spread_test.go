package detune_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/routing/detune"
)

type cents = []detune.Cents

func spread(t require.TestingT, s detune.Spec) cents {
	stack, err := s.Spread()
	require.NoError(t, err)
	return stack
}

func near(t require.TestingT, want, got cents, within float64) {
	require.Len(t, got, len(want))
	for i := range want {
		require.InDelta(t, float64(want[i]), float64(got[i]), within, "position %d of %v", i, got)
	}
}

func TestLawsInWorkedSums(t *testing.T) {
	for name, c := range map[string]struct {
		spec detune.Spec
		want cents
	}{
		// W·(i/(n−1) − ½), i = 0…3: 12·(0 − ½), 12·(⅓ − ½), …
		"even": {detune.Spec{Law: detune.Even, Voices: 4, Width: 12}, cents{-6, -2, 2, 6}},
		// x = −1, −½, 0, ½, 1; 6·x²: 6·¼ = 1.5
		"power by default 2": {detune.Spec{Law: detune.Power, Voices: 5, Width: 12}, cents{-6, -1.5, 0, 1.5, 6}},
		// 6·√½ = 4.242641
		"power ½": {detune.Spec{Law: detune.Power, Voices: 5, Width: 12, Power: 0.5}, cents{-6, -4.242641, 0, 4.242641, 6}},
		// x = −1, −⅓, ⅓, 1; 6·(⅓)³ = 6/27 = 0.222222
		"power 3": {detune.Spec{Law: detune.Power, Voices: 4, Width: 12, Power: 3}, cents{-6, -0.222222, 0.222222, 6}},
		// marks 0-1-4-6 (Golomb ruler): 12·(i/6 − ½) = −6, −4, +2, +6
		"uneven 4": {detune.Spec{Voices: 4, Width: 12}, cents{-6, -4, 2, 6}},
		// marks 0-1-3: 6·(2·1 − 3)/3 = −2
		"uneven 3": {detune.Spec{Voices: 3, Width: 12}, cents{-6, -2, 6}},
		// frac(0.618034·i) = 0, .618034, .236068, .854102, .472136; sorted and over .854102:
		// 0, .276393, .552786, .723607, 1; times 12, less 6
		"golden 5":  {detune.Spec{Law: detune.Golden, Voices: 5, Width: 12}, cents{-6, -2.683282, 0.633437, 2.683282, 6}},
		"random 2":  {detune.Spec{Law: detune.Random, Voices: 2, Width: 12, Seed: 9}, cents{-6, 6}}, // only the ends
		"one voice": {detune.Spec{Law: detune.Golden, Voices: 1, Width: 12}, cents{0}},
		"no width":  {detune.Spec{Voices: 3}, cents{0, 0, 0}},
	} {
		t.Run(name, func(t *testing.T) { near(t, c.want, spread(t, c.spec), 1e-6) })
	}
}

func TestGoldenGapsOfFive(t *testing.T) {
	// golden spacing of 5 has two gaps, 0.145898 and 0.236068 (three-gap theorem,
	// van Ravenstein 1988). The width from the first to the last is frac(3·0.618034) = 0.854102.
	stack := spread(t, detune.Spec{Law: detune.Golden, Voices: 5, Width: 0.8541019662})
	near(t, cents{0.236068, 0.236068, 0.145898, 0.236068}, gaps(stack), 1e-6)
}

func TestGoldenHasAtMostThreeGaps(t *testing.T) {
	// three-gap theorem, van Ravenstein 1988
	for n := 2; n <= 64; n++ {
		found := gaps(spread(t, detune.Spec{Law: detune.Golden, Voices: n, Width: 100}))
		slices.Sort(found)
		kinds := slices.CompactFunc(found, func(a, b detune.Cents) bool { return math.Abs(float64(a-b)) < 1e-9 })
		require.LessOrEqual(t, len(kinds), 3, "%d voices: %v", n, kinds)
	}
}

func gaps(stack cents) (g cents) {
	for i := range stack[1:] {
		g = append(g, stack[i+1]-stack[i])
	}
	return g
}

func TestRandomFollowsItsSeed(t *testing.T) {
	spec := detune.Spec{Law: detune.Random, Voices: 8, Width: 12, Seed: 1}
	first := spread(t, spec)
	require.Equal(t, first, spread(t, spec))
	spec.Seed = 2
	require.NotEqual(t, first, spread(t, spec))
}

func TestRandomLiesAsStretchedUniformDraws(t *testing.T) {
	// The doc comment's claim: the same as n uniform draws, stretched to the width. Compared by
	// the mean of every place over 4000 stacks of five. Places lie in −1…1 with a deviation of at
	// most 0.5, so a difference of means has at most 0.5·√(2/4000) = 0.0112; five of them are 0.056.
	const n, runs = 5, 4000
	var ours, theirs [n]float64
	rng := rand.New(rand.NewPCG(77, 77))
	for seed := range uint64(runs) {
		draws := make([]float64, n)
		for i, c := range spread(t, detune.Spec{Law: detune.Random, Voices: n, Width: 2, Seed: seed}) {
			ours[i] += float64(c) / runs
			draws[i] = rng.Float64()
		}
		low, high := slices.Min(draws), slices.Max(draws)
		slices.Sort(draws)
		for i, d := range draws {
			theirs[i] += (2*(d-low)/(high-low) - 1) / runs
		}
	}
	for i := range ours {
		require.InDelta(t, theirs[i], ours[i], 0.056, "place %d", i)
	}
	require.InDelta(t, -0.5, ours[1], 0.056) // three uniform draws between −1 and 1: lowest at 2·¼ − 1
}

func TestMeanAndRecentring(t *testing.T) {
	stack := spread(t, detune.Spec{Voices: 4, Width: 12})
	require.InDelta(t, -0.5, float64(detune.Mean(stack)), 1e-12) // (−6 − 4 + 2 + 6)/4
	near(t, cents{-5.5, -3.5, 2.5, 6.5}, detune.Recentred(stack), 1e-12)
	near(t, cents{-6, -4, 2, 6}, stack, 1e-12) // the given one is left alone
	require.Zero(t, detune.Mean(nil))
	require.Empty(t, detune.Recentred(nil))
}

func TestSpecsThatAreRefused(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		spec detune.Spec
		want string
	}{
		"no voice":    {detune.Spec{Voices: 0}, "found 0 voices in unison, want 1 to 1024"},
		"many voices": {detune.Spec{Law: detune.Even, Voices: 1025}, "found 1025 voices in unison, want 1 to 1024"},
		"below 0":     {detune.Spec{Voices: 2, Width: -0.1}, "found a spread of -0.1 cents, want 0 to 2400"},
		"too wide":    {detune.Spec{Voices: 2, Width: 2400.5}, "found a spread of 2400.5 cents, want 0 to 2400"},
		"no width":    {detune.Spec{Voices: 2, Width: detune.Cents(nan)}, "found a spread of NaN cents, want 0 to 2400"},
		"low power":   {detune.Spec{Law: detune.Power, Voices: 2, Power: 0.09}, "found a power of 0.09, want 0.1 to 10"},
		"high power":  {detune.Spec{Law: detune.Power, Voices: 2, Power: 10.1}, "found a power of 10.1, want 0.1 to 10"},
		"no power":    {detune.Spec{Law: detune.Power, Voices: 2, Power: nan}, "found a power of NaN, want 0.1 to 10"},
		"no law":      {detune.Spec{Law: 5, Voices: 2}, "unknown law 5"},
		"no ruler": {detune.Spec{Voices: 13}, "found 13 voices in unison, but the uneven pattern ends at 12 voices: " +
			"take even, golden or random, or stacks of at most 12 voices"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := c.spec.Spread()
			require.EqualError(t, err, c.want)
		})
	}
	_, err := detune.Spec{Voices: 13}.Spread()
	require.ErrorIs(t, err, detune.ErrNoRuler)
}

func TestSpecsAtTheLimitsAreTaken(t *testing.T) {
	for _, s := range []detune.Spec{
		{Voices: 12, Width: 2400}, {Law: detune.Even, Voices: 1024, Width: 12},
		{Law: detune.Golden, Voices: 13}, {Law: detune.Random, Voices: 13}, {Law: detune.Power, Voices: 13},
		{Law: detune.Power, Voices: 2, Power: 0.1}, {Law: detune.Power, Voices: 2, Power: 10},
		{Law: detune.Even, Voices: 2, Power: -1}, // not asked for
	} {
		require.Len(t, spread(t, s), s.Voices)
	}
}

func TestLawNames(t *testing.T) {
	require.Equal(t, []string{"uneven", "even", "power", "golden", "random"}, detune.LawNames())
	for _, name := range detune.LawNames() {
		law, err := detune.ParseLaw(name)
		require.NoError(t, err)
		require.Equal(t, name, law.String())
	}
	_, err := detune.ParseLaw("odd")
	require.EqualError(t, err, `unknown "odd", allowed are uneven, even, power, golden, random`)
	detune.LawNames()[0] = "spoilt"
	require.Equal(t, "uneven", detune.Uneven.String())
}

// specs draws any spec that is allowed, of at least so many voices.
func specs(least int) *rapid.Generator[detune.Spec] {
	return rapid.Custom(func(t *rapid.T) detune.Spec {
		law := detune.Law(rapid.IntRange(0, 4).Draw(t, "law"))
		most := 64
		if law == detune.Uneven {
			most = detune.MaxUneven
		}
		return detune.Spec{
			Law: law, Voices: rapid.IntRange(least, most).Draw(t, "voices"),
			Width: detune.Cents(rapid.Float64Range(0, detune.MaxWidth).Draw(t, "width")),
			Power: rapid.Float64Range(detune.MinPower, detune.MaxPower).Draw(t, "power"),
			Seed:  rapid.Uint64().Draw(t, "seed"),
		}
	})
}

func TestEveryLawKeepsWidthAndOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := specs(2).Draw(t, "spec")
		stack := spread(t, s)
		require.Len(t, stack, s.Voices)
		require.Equal(t, s.Width, 2*stack[s.Voices-1])
		require.Equal(t, -stack[s.Voices-1], stack[0])
		require.True(t, slices.IsSorted(stack)) // and no NaN: it sorts below the lowest, which is known
		for i, c := range stack {
			require.False(t, math.IsNaN(float64(c)))
			if s.Law == detune.Even || s.Law == detune.Power {
				require.InDelta(t, float64(-stack[s.Voices-1-i]), float64(c), 1e-9)
			}
		}
		moved := detune.Recentred(stack)
		require.InDelta(t, 0, float64(detune.Mean(moved)), 1e-9)
		require.InDelta(t, float64(s.Width), float64(moved[s.Voices-1]-moved[0]), 1e-9)
	})
}
