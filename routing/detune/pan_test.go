package detune_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/routing/detune"
)

func pans(t require.TestingT, stack cents, width detune.Share) detune.Stereo {
	s, err := detune.Pans(stack, width)
	require.NoError(t, err)
	require.Len(t, s.Pans, len(stack))
	return s
}

// pearson is r by its definition; ok tells whether both vary.
func pearson(a cents, b []detune.Pan) (r float64, ok bool) {
	var ma, mb, ab, aa, bb float64
	for i := range a {
		ma += float64(a[i]) / float64(len(a))
		mb += float64(b[i]) / float64(len(a))
	}
	for i := range a {
		x, y := float64(a[i])-ma, float64(b[i])-mb
		ab, aa, bb = ab+x*y, aa+x*x, bb+y*y
	}
	return ab / math.Sqrt(aa*bb), aa > 0 && bb > 0
}

func TestPearsonOfTheTests(t *testing.T) {
	r, _ := pearson(cents{1, 2, 3}, []detune.Pan{-1, 0, 1})
	require.InDelta(t, 1, r, 1e-12)
	// lean −1, 0, 1 and −1, 1, 0: 1/√(2·2)
	r, _ = pearson(cents{1, 2, 3}, []detune.Pan{-1, 1, 0})
	require.InDelta(t, 0.5, r, 1e-12)
}

func TestPansInWorkedSums(t *testing.T) {
	for name, c := range map[string]struct {
		stack cents
		width detune.Share
		want  detune.Stereo
	}{
		"one voice":       {cents{0}, 0.6, detune.Stereo{Pans: []detune.Pan{0}}},
		"two that differ": {cents{-6, 6}, 0.6, detune.Stereo{Pans: []detune.Pan{0, 0}, Placement: detune.Centred}},
		"two alike":       {cents{3, 3}, 0.6, detune.Stereo{Pans: []detune.Pan{-0.6, 0.6}, Width: 0.6}},
		"no width":        {cents{-6, 6}, 0, detune.Stereo{Pans: []detune.Pan{0, 0}}},
		"four alike":      {cents{0, 0, 0, 0}, 0.6, detune.Stereo{Pans: []detune.Pan{-0.6, -0.2, 0.2, 0.6}, Width: 0.6}},
		// −1, 0, 1 has r = ±½ at best (−1, 1, 0); less its share along the detune, ½·(−1, 0, 1):
		// −½, 1, −½. From −½ to 1 are 1.5 of 2: three quarters
		"three even": {cents{-6, 0, 6}, 0.6,
			detune.Stereo{Pans: []detune.Pan{-0.3, 0.6, -0.3}, Width: 0.45, Placement: detune.Shifted}},
		// (−1, 1, 0): detunes lean −2, −2, 4: 2 − 2 + 0 = 0
		"three, two of them alike": {cents{0, 0, 6}, 1, detune.Stereo{Pans: []detune.Pan{-1, 1, 0}, Width: 1}},
		// −3·−1 − 1·3 + 1·−3 + 3·1 = 0, the first such order upwards of thirds
		"four even": {cents{-6, -2, 2, 6}, 0.6, detune.Stereo{Pans: []detune.Pan{-0.2, 0.6, -0.6, 0.2}, Width: 0.6}},
	} {
		t.Run(name, func(t *testing.T) {
			got := pans(t, c.stack, c.width)
			for i, want := range c.want.Pans {
				require.InDelta(t, float64(want), float64(got.Pans[i]), 1e-12, "%v", got.Pans)
			}
			require.InDelta(t, float64(c.want.Width), float64(got.Width), 1e-12)
			got.Pans, got.Width, c.want.Pans, c.want.Width = nil, 0, nil, 0
			require.Equal(t, c.want, got)
		})
	}
}

// bestOf tries every order of equal steps, the plain way, for the smallest |r|.
func bestOf(stack cents) float64 {
	n := len(stack)
	steps := make([]detune.Pan, n)
	for i := range steps {
		steps[i] = detune.Pan(i)
	}
	least := math.Inf(1)
	var permute func(k int)
	permute = func(k int) {
		if k == n {
			r, _ := pearson(stack, steps)
			least = min(least, math.Abs(r))
		}
		for i := k; i < n; i++ {
			steps[k], steps[i] = steps[i], steps[k]
			permute(k + 1)
			steps[k], steps[i] = steps[i], steps[k]
		}
	}
	permute(0)
	return least
}

func TestSmallStacksGetTheBestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 6).Draw(t, "n")
		stack := cents{}
		for range n {
			stack = append(stack, detune.Cents(rapid.IntRange(-20, 20).Draw(t, "c")))
		}
		if slices.Min(stack) == slices.Max(stack) {
			stack[0]++
		}
		best, got := bestOf(stack), pans(t, stack, 1)
		if best < detune.MaxCorrelation-1e-9 {
			require.Equal(t, detune.Regular, got.Placement)
			require.InDelta(t, best, math.Abs(got.Correlation), 1e-7)
		}
		if best > detune.MaxCorrelation+1e-9 {
			require.Equal(t, detune.Shifted, got.Placement)
			require.Zero(t, got.Correlation)
		}
	})
}

func TestBothSidesOfMaxCorrelation(t *testing.T) {
	// Four voices at −1, −a, a, 1 in steps of ±1, ±3. Orders that keep |r| low give the ends −1 and 1
	// (sum 2) and the inner ones 3 and −3 (sum −6a): |2 − 6a|/√((2 + 2a²)·20).
	// a = 0.12: 1.28/6.3697 = 0.2010; a = 0.13: 1.22/6.3777 = 0.1913.
	out := pans(t, cents{-1, -0.12, 0.12, 1}, 1)
	require.Equal(t, detune.Shifted, out.Placement)
	require.Zero(t, out.Correlation)
	in := pans(t, cents{-1, -0.13, 0.13, 1}, 1)
	require.Equal(t, detune.Regular, in.Placement)
	require.InDelta(t, 0.1913, math.Abs(in.Correlation), 1e-4)
}

func TestLargerStacksComeNearTheBest(t *testing.T) {
	// Nine voices are the fewest without a full search; one is done here. The walk rests
	// below 0.01; where no exchange helps it stays a little above (power: 0.0194). A tenth of
	// MaxCorrelation from the best is near enough.
	for law := range detune.Law(len(detune.LawNames())) {
		stack := spread(t, detune.Spec{Law: law, Voices: 9, Width: 12, Seed: 1})
		r, best := math.Abs(pans(t, stack, 1).Correlation), bestOf(stack)
		require.Less(t, r, best+detune.MaxCorrelation/10, "%v", law)
		require.GreaterOrEqual(t, r, best-1e-7, "%v", law)
	}
}

func TestEveryStackIsFairlySpread(t *testing.T) {
	check := func(t *rapid.T, stack cents) {
		width := detune.Share(rapid.Float64Range(0.01, 1).Draw(t, "pan"))
		got := pans(t, stack, width)
		require.Equal(t, got, pans(t, stack, width))
		r, varies := pearson(stack, got.Pans)
		if varies {
			require.InDelta(t, r, got.Correlation, 1e-6)
		}
		require.Less(t, math.Abs(got.Correlation), detune.MaxCorrelation)
		var mean float64
		for _, p := range got.Pans {
			require.LessOrEqual(t, math.Abs(float64(p)), float64(width))
			mean += float64(p) / float64(len(stack))
		}
		require.InDelta(t, 0, mean, 1e-9)
		require.NotEqual(t, detune.Centred, got.Placement)
		sorted := slices.Sorted(slices.Values(got.Pans))
		if got.Placement == detune.Shifted {
			require.GreaterOrEqual(t, got.Width, 0.7*width) // three voices: three quarters at worst
			return
		}
		for i, p := range sorted {
			require.InDelta(t, float64(width)*(2*float64(i)/float64(len(stack)-1)-1), float64(p), 1e-9)
		}
		require.InDelta(t, float64(width), float64(got.Width), 1e-9)
	}
	t.Run("laws", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := specs(3).Draw(t, "spec")
			s.Width = max(s.Width, 0.001)
			check(t, spread(t, s))
		})
	})
	t.Run("any", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			stack := cents{}
			for range rapid.IntRange(3, 64).Draw(t, "n") {
				stack = append(stack, detune.Cents(rapid.IntRange(-1000, 1000).Draw(t, "c"))/10)
			}
			check(t, stack)
		})
	})
}

func TestPlacementNames(t *testing.T) {
	require.Equal(t, "regular", detune.Regular.String())
	require.Equal(t, "shifted", detune.Shifted.String())
	require.Equal(t, "centred", detune.Centred.String())
	require.Equal(t, "placement 3", detune.Placement(3).String())
}

func TestPansThatAreRefused(t *testing.T) {
	for want, width := range map[string]detune.Share{
		"found a pan width of -0.1, want 0 to 1": -0.1,
		"found a pan width of 1.01, want 0 to 1": 1.01,
		"found a pan width of NaN, want 0 to 1":  detune.Share(math.NaN()),
	} {
		_, err := detune.Pans(cents{0, 1, 2}, width)
		require.EqualError(t, err, want)
	}
	_, err := detune.Pans(cents{0, detune.Cents(math.NaN())}, 1)
	require.EqualError(t, err, "position 1: found a detune of NaN cents, want a number within ±300000")
	require.Empty(t, pans(t, nil, 1).Pans)
}

func BenchmarkPans(b *testing.B) {
	for name, n := range map[string]int{"8 voices": 8, "64 voices": 64, "1024 voices": 1024} {
		stack := spread(b, detune.Spec{Law: detune.Golden, Voices: n, Width: 12})
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				pans(b, stack, 0.6)
			}
		})
	}
}
