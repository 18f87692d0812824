package tuning

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing"
)

// moved are readings of voices on days, at three keys, sharp by so many cents: by voice and day.
func moved(rig *profiles.Rig, cents [][]float64) (all []Reading) {
	for voice := range cents {
		for day, sharp := range cents[voice] {
			all = append(all, at(rig, voice, fmt.Sprintf("2026-11-%02d", day+1), func(float64) float64 { return sharp }, 36, 48, 60)...)
		}
	}
	return all
}

// K1 goes from 0 to 4 cents and K2 from 0 to 2. Each day is −2 and 2, −1 and 1 from its mean, in common −1.5 and 1.5, so
// that Σc² = 4.5; each is 0.5 off that on each day, Σr² = 1. 4.5/1 − (1/1)/2 = 4 is 2². Where one stays and
// one rises 2, ½ − (2·1·1)… Σc² = ½·½·2 = 0.5, Σr² = 4·¼ = 1: 0.5 − 0.5 = 0.
func TestCommonDrift(t *testing.T) {
	rig := rigOf(t, wall)
	r := Study(rig, moved(rig, [][]float64{{0, 4}, {0, 2}}), 3)
	require.Equal(t, Common{2, 2, r.Common.SD}, r.Common)
	require.InDelta(t, 2, r.Common.SD, 1e-6)
	require.InDelta(t, 0, Study(rig, moved(rig, [][]float64{{0, 0}, {0, 1}}), 3).Common.SD, 1e-6)
	require.Zero(t, Study(rig, moved(rig, [][]float64{{0, 4}}), 3).Common) // one voice has nothing in common
	require.Zero(t, Study(rig, moved(rig, [][]float64{{0}, {4}}), 3).Common)
	require.Equal(t, 2, Study(rig, moved(rig, [][]float64{{0, 4}, {0, 2}, {0}}), 3).Common.Voices) // of the days that most have
	k := r.Voices[0].Correction
	require.InDelta(t, 2, float64(*k.CommonDrift), 1e-9)
	require.InDelta(t, math.Sqrt(8), float64(*k.Drift), 0.01) // ±2
}

// Seeded: voices that drift by 1 cent all together and 1 each by itself, so that their changes are the 2 cents that are
// assumed, read on six days, and played on another. What the tuner finds is right on the mean, and of the changes to
// the day that is played 1 to 6.5 % are beyond likely.
func TestCommonDriftBySimulation(t *testing.T) {
	corpora.Patient(t)
	const together, alone, days, voices = 1.0, 1.0, 6, 8
	rig, r := rigOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 8}}\n"), rand.New(rand.NewPCG(7, 7))
	racks, beyond, all, squares := corpora.Some(60, 600), 0, 0, 0.0
	for range racks {
		cents := make([][]float64, voices)
		for range days + 1 { // the last is played
			alike := together * r.NormFloat64()
			for v := range cents {
				cents[v] = append(cents[v], alike+alone*r.NormFloat64())
			}
		}
		read := make([][]float64, voices)
		for v := range cents {
			read[v] = cents[v][:days]
		}
		result := Study(rig, moved(rig, read), 3)
		squares += result.Common.SD * result.Common.SD / float64(racks)
		then := *rig
		then.Corrections = nil
		for _, v := range result.Voices {
			then.Corrections = append(then.Corrections, *v.Correction)
		}
		m := routing.NewMap(&then)
		b := m.At(0, 48)
		drifts := &routing.Budget{Key: 48}
		for _, term := range b.Terms {
			if term.Cause == routing.Drift || term.Cause == routing.CommonDrift {
				drifts.Terms = append(drifts.Terms, term)
			}
		}
		require.Len(t, drifts.Terms, 2)
		likely := drifts.Likely()
		for v := range cents {
			all++
			if math.Abs(cents[v][days]-cents[v][days-1]) > likely { // corrected by the last day
				beyond++
			}
		}
	}
	require.InDelta(t, together, math.Sqrt(squares), 0.15)
	share := float64(beyond) / float64(all)
	require.True(t, share > 0.01 && share < 0.065, "%.4f", share)
}
