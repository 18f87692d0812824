package detune_test

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/routing/detune"
)

func beats(t require.TestingT, stack cents, f detune.Hertz) detune.Beats {
	b, err := detune.BeatsOf(stack, f)
	require.NoError(t, err)
	return b
}

func TestBeatsOfFourUnevenVoices(t *testing.T) {
	// 440·(2^(c/1200) − 1) at −6, −4, +2, +6 cents: −1.522284, −1.015442, +0.508602, +1.527569 Hz
	b := beats(t, spread(t, detune.Spec{Voices: 4, Width: 12}), 440)
	want := []struct {
		low, high int
		beat      float64
	}{
		{0, 1, 0.506842}, {0, 2, 2.030886}, {0, 3, 3.049853},
		{1, 2, 1.524044}, {1, 3, 2.543011}, {2, 3, 1.018967},
	}
	require.Len(t, b.Pairs, len(want))
	for i, w := range want {
		require.Equal(t, [2]int{w.low, w.high}, [2]int{b.Pairs[i].Low, b.Pairs[i].High})
		require.InDelta(t, w.beat, float64(b.Pairs[i].Beat), 2e-6)
	}
	require.Equal(t, []detune.Pair{b.Pairs[0], b.Pairs[3], b.Pairs[5]}, b.Neighbours)
	require.Equal(t, b.Pairs[0], b.Slowest)
	require.Equal(t, b.Pairs[2], b.Fastest)
	require.InDelta(t, 1.973001, float64(b.Slowest.Period()), 1e-5) // 1/0.506842
	require.Equal(t, detune.Hertz(440), b.Key)
	require.Zero(t, b.Unisons)
	require.False(t, b.Throb.Common)
}

func TestBeatsOfCheckedDetunes(t *testing.T) {
	// 440·(2^(c/1200) − 1): 1 cent 0.2542, 7 cents 1.7827, 10 cents 2.5489 Hz
	b := beats(t, cents{0, 1, 7, 10}, 440)
	for i, want := range []float64{0.2542, 1.7827, 2.5489} {
		require.InDelta(t, want, float64(b.Pairs[i].Beat), 5e-5)
	}
}

func TestBeatsKeepPositionsOfAnUnsortedStack(t *testing.T) {
	b := beats(t, cents{5, -5, 0}, 440)
	got := [][2]int{}
	for _, p := range b.Neighbours {
		got = append(got, [2]int{p.Low, p.High})
	}
	require.Equal(t, [][2]int{{1, 2}, {2, 0}}, got)
}

func TestTheFirstOfEqualPairsStays(t *testing.T) {
	b := beats(t, cents{0, 7, 7}, 440) // 0–1 and 0–2 beat alike, 1–2 not at all
	require.Equal(t, b.Pairs[0], b.Slowest)
	require.Equal(t, b.Pairs[0], b.Fastest)
	require.Equal(t, b.Pairs[0].Beat, b.Pairs[1].Beat)
}

func TestVoicesThatDoNotBeat(t *testing.T) {
	one := beats(t, cents{0}, 440)
	require.Equal(t, detune.Beats{Key: 440}, one)
	require.Zero(t, one.Slowest.Period())

	same := beats(t, cents{0, 0, 0}, 440)
	require.Equal(t, 3, same.Unisons)
	require.Equal(t, detune.Pair{}, same.Slowest)
	require.Equal(t, detune.Throb{}, same.Throb)

	two := beats(t, cents{0, 0, 7}, 440)
	require.Equal(t, 1, two.Unisons)
	require.InDelta(t, 1.7827, float64(two.Slowest.Beat), 5e-5) // 440·(2^(7/1200) − 1); the pair in unison is passed over
	require.False(t, two.Throb.Common)
}

func TestBothSidesOfStill(t *testing.T) {
	for beat, want := range map[detune.Hertz]int{0.99e-6: 1, 1.01e-6: 0} {
		b := beats(t, cents{0, detune.CentsOfBeat(440, beat)}, 440)
		require.Equal(t, want, b.Unisons)
		require.Equal(t, want == 1, b.Slowest.Period() == 0)
	}
	require.Greater(t, 1/float64(detune.Still)/86400, 11.0) // "more than eleven days"
}

// spaced is a stack whose pitches rise from f by the hertz given.
func spaced(f detune.Hertz, steps ...detune.Hertz) cents {
	stack, at := cents{0}, detune.Hertz(0)
	for _, s := range steps {
		at += s
		stack = append(stack, detune.CentsOfBeat(f, at))
	}
	return stack
}

func TestCommonThrob(t *testing.T) {
	// evenly spaced by D Hz: envelope period 1/D, first null 1/(N·D). D = 0.5, N = 4: 2 s and 0.5 s
	throb := beats(t, spaced(220, 0.5, 0.5, 0.5), 220).Throb
	require.True(t, throb.Common)
	require.InDelta(t, 0.5, float64(throb.Gap), 1e-9)
	require.InDelta(t, 2, float64(throb.Period), 1e-8)
	require.InDelta(t, 0.5, float64(throb.FirstNull), 1e-8)
	require.InDelta(t, 0, throb.Departure, 1e-8)
}

func TestThrobIsHeardInTheSum(t *testing.T) {
	// The sum of the voices itself, as turning arrows: full at 1/D, nothing at 1/(N·D), and not before.
	for n := 3; n <= 8; n++ {
		stack := spaced(220, []detune.Hertz{0.7, 0.7, 0.7, 0.7, 0.7, 0.7, 0.7}[:n-1]...)
		throb := beats(t, stack, 220).Throb
		require.InDelta(t, float64(n), loudness(stack, 220, throb.Period), 1e-6)
		require.InDelta(t, 0, loudness(stack, 220, throb.FirstNull), 1e-6)
		for share := 0.0; share < 0.99; share += 0.01 {
			require.Greater(t, loudness(stack, 220, throb.FirstNull*detune.Seconds(share)), 0.005)
		}
	}
}

func loudness(stack cents, f detune.Hertz, at detune.Seconds) float64 {
	var sum complex128
	for _, c := range stack {
		turns := float64(f) * math.Exp2(float64(c)/1200) * float64(at)
		sum += cmplx.Rect(1, 2*math.Pi*turns)
	}
	return cmplx.Abs(sum)
}

func TestBothSidesOfTheThrobTolerance(t *testing.T) {
	// gaps 1 − e and 1 + e: mean 1, departure e
	in := beats(t, spaced(440, 1-0.049, 1+0.049), 440).Throb
	require.True(t, in.Common)
	require.InDelta(t, 0.049, in.Departure, 1e-9)
	out := beats(t, spaced(440, 1-0.051, 1+0.051), 440).Throb
	require.InDelta(t, 0.051, out.Departure, 1e-9)
	require.Equal(t, detune.Throb{Departure: out.Departure}, out)
	// two voices have one beat and nothing in common
	require.Equal(t, detune.Throb{}, beats(t, spaced(440, 1), 440).Throb)
}

func TestOnlyEvenLawsThrob(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := specs(3).Draw(t, "spec")
		s.Width = detune.Cents(rapid.Float64Range(1, 50).Draw(t, "usual width"))
		key := rapid.Float64Range(21, 108).Draw(t, "key")
		throb := beats(t, spread(t, s), detune.Frequency(440, key)).Throb
		switch s.Law {
		case detune.Even:
			require.True(t, throb.Common)
		case detune.Uneven, detune.Golden:
			require.False(t, throb.Common)
			require.Greater(t, throb.Departure, 0.2) // the doc comment of ThrobTolerance
		}
	})
}

func TestBeatsAgreeWithPlainDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stack := spread(t, specs(1).Draw(t, "spec"))
		f := detune.Hertz(rapid.Float64Range(8, 12544).Draw(t, "f"))
		b := beats(t, stack, f)
		require.Len(t, b.Pairs, len(stack)*(len(stack)-1)/2)
		for _, p := range b.Pairs {
			low := float64(f) * math.Exp2(float64(stack[p.Low])/1200)
			high := float64(f) * math.Exp2(float64(stack[p.High])/1200)
			require.InDelta(t, high-low, float64(p.Beat), 1e-8)
			require.GreaterOrEqual(t, p.Beat, detune.Hertz(0))
			if p.Beat >= detune.Still {
				require.GreaterOrEqual(t, p.Beat, b.Slowest.Beat)
				require.LessOrEqual(t, p.Beat, b.Fastest.Beat)
			}
		}
	})
}

func TestBeatsThatAreRefused(t *testing.T) {
	for want, f := range map[string]detune.Hertz{
		"found a pitch of 0 Hz, want one above 0":    0,
		"found a pitch of -1 Hz, want one above 0":   -1,
		"found a pitch of NaN Hz, want one above 0":  detune.Hertz(math.NaN()),
		"found a pitch of +Inf Hz, want one above 0": detune.Hertz(math.Inf(1)),
	} {
		_, err := detune.BeatsOf(cents{0, 1}, f)
		require.EqualError(t, err, want)
	}
	_, err := detune.BeatsOf(cents{0, detune.Cents(math.NaN())}, 440)
	require.EqualError(t, err, "position 1: found a detune of NaN cents, want a number within ±300000")
	_, err = detune.BeatsOf(cents{300001}, 440)
	require.EqualError(t, err, "position 0: found a detune of 300001 cents, want a number within ±300000")
	wide := beats(t, cents{-3e5, 3e5}, 12544)
	require.False(t, math.IsInf(float64(wide.Fastest.Beat), 0))
}
