package listen

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/plan"
)

// In the worst moments of the demo on ten voices what is written differs, in the band
// that the model names, as the model says: excitation by rounded exponential filters
// (Glasberg & Moore 1990, as in package hearing), here of gonum's spectrum of what was
// rendered, over 200 ms. One sound is of one set of phases and the model of their
// average, so they agree within 3 dB.
func TestSoundDiffersAsTheModelSays(t *testing.T) {
	s := demo(t, plan.Overrides{Voices: plan.All(10)})
	checked := 0
	for _, m := range s.Heard(nil).Heard.Moments {
		if m.Worst < 6 {
			continue
		}
		checked++
		most := 0.0
		for at := samples(m.From) - Rate/10; at < samples(m.To); at += Rate / 20 {
			asked, _ := s.sounds(Asked, at, at+Rate/5)
			played, _ := s.sounds(Played, at, at+Rate/5)
			// A voice in the middle has an effective value of 1 for 70 dB SPL; in quiet
			// nothing below 0 dB SPL is heard.
			quiet := math.Pow(10, -7)
			d := 10 * math.Log10((excitation(asked, m.BandHz)+quiet)/(excitation(played, m.BandHz)+quiet))
			most = max(most, math.Abs(d))
		}
		require.InDelta(t, m.Worst, most, 3, "at %v, %.0f Hz", m.From, m.BandHz)
	}
	require.GreaterOrEqual(t, checked, 2)
}

func excitation(x []float64, centre float64) (sum float64) {
	erb := 24.7 * (4.37*centre/1000 + 1)
	for k, a := range spectrum(x) {
		g := 4 * math.Abs(float64(k)*Rate/float64(len(x))-centre) / erb
		sum += a * a * (1 + g) * math.Exp(-g)
	}
	return sum
}

// TestSplitSounds: a part whose keys are split over banks sounds as asked where each has voices enough.
func TestSplitSounds(t *testing.T) {
	p := planOf(t, "rig: Two\nbanks: {K: {voices: 4}, L: {voices: 4}}\nparts: {one: {channel: 1, unison: {voices: 2, spread: 20 cents}}}\n", plan.MustParse("--banks", "K/60/L"))
	s := sketchOf(t, p, songOf(t, []note{{0, 50, 90, 0, 400}, {0, 70, 90, 100, 500}}))
	require.Zero(t, s.Heard(nil).Heard.Whole.Faint)
	at, err := s.CheckPart("one")
	require.NoError(t, err)
	require.Zero(t, at)
	_, err = s.CheckPart("one2")
	require.Error(t, err)
}
