package tuning

import (
	"math"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// What a steady tone may not pass. The periods, and how far a tone may wander,
// are our choice; how far the two methods may be apart is about what is heard.
const (
	leastPeriods = 16.0
	wanderLimit  = 10.0 // cents, from the lowest to the highest quarter
	agreeLimit   = 2.0  // cents, between spectrum and period
	leastShare   = 0.6  // of the power, in the harmonics
	clippedShare = 0.02 // of the samples that stand at the highest or lowest level
)

// Pitch is the pitch of a recording.
type Pitch struct {
	// Hertz is that by the spectrum: the peaks of the harmonics, each refined by a
	// parabola. Autocorrelation is that by the period, found without it.
	Hertz           profiles.Hertz
	Autocorrelation profiles.Hertz
	// Confidence is 0–1: (1 − Aperiodic)·(1 − |Apart|/2 cents).
	Confidence float64
	Aperiodic  float64 // normalized difference at the period, 0–0.1
	Apart      float64 // cents between the two
	Wander     float64 // cents between the highest and the lowest quarter of the tone
	Harmonics  int     // that share in Hertz
	Seconds    float64 // that were judged
	Clipped    bool    // the recording meets its ceiling; its pitch is right all the same
}

// PitchOf finds the pitch of a steady tone from 15 Hz to 6 kHz. The error is a
// [NoTone] where there is none: silence, noise, a chord, a glide, two detuned
// oscillators.
func PitchOf(r *Recording) (*Pitch, error) {
	x, err := steadyPart(r)
	if err != nil {
		return nil, err
	}
	samples, aperiodic, ok := period(x, r.Rate)
	if !ok {
		return nil, noTone("it is too short")
	}
	if aperiodic > aperiodicLimit {
		return nil, noTone("successive periods differ by a share of %s, want %s at most", unit.Fixed(aperiodic, 2), unit.Fixed(aperiodicLimit, 1))
	}
	about := float64(r.Rate) / samples
	if periods := float64(len(x)) / samples; periods < leastPeriods {
		return nil, noTone("it has %s periods, want %s at least", unit.Fixed(periods, 0), unit.Fixed(leastPeriods, 0))
	}
	p := &Pitch{Autocorrelation: profiles.Hertz(about), Aperiodic: aperiodic,
		Seconds: float64(len(x)) / float64(r.Rate), Clipped: clipped(x)}
	if p.Wander = wander(x, r.Rate, about); !(p.Wander <= wanderLimit) {
		return nil, noTone("its pitch wanders by %s cents, want %s at most", unit.Fixed(p.Wander, 1), unit.Fixed(wanderLimit, 0))
	}
	hertz, used, share := newSpectrum(x, r.Rate).fundamental(about)
	switch {
	case used == 0:
		return nil, noTone("no harmonic stands out of the noise at %s Hz", unit.Fixed(about, 1))
	case share < leastShare:
		return nil, noTone("the harmonics of %s Hz bear %s %% of what is heard, want %s %%: other tones sound too",
			unit.Fixed(hertz, 1), unit.Fixed(100*share, 0), unit.Fixed(100*leastShare, 0))
	}
	p.Hertz, p.Harmonics, p.Apart = profiles.Hertz(hertz), used, 1200*math.Log2(hertz/about)
	if math.Abs(p.Apart) > agreeLimit {
		return nil, noTone("spectrum and period disagree: %s Hz against %s Hz, %s cents apart",
			unit.Fixed(hertz, 2), unit.Fixed(about, 2), unit.Fixed(math.Abs(p.Apart), 1))
	}
	p.Confidence = (1 - aperiodic) * (1 - math.Abs(p.Apart)/agreeLimit)
	return p, nil
}

// wander is by how many cents the quarters of a tone differ, from the highest to
// the lowest; 0 where the tone is so low that a quarter says nothing.
func wander(x []float64, rate int, about float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	quarter, samples := len(x)/4, float64(rate)/about
	if float64(quarter) < 3*samples {
		return 0
	}
	for i := range 4 {
		hertz := float64(rate) / follow(x[i*quarter:][:quarter], samples)
		low, high = min(low, hertz), max(high, hertz)
	}
	return 1200 * math.Log2(high/low)
}

// clipped tells whether many samples stand at the highest or the lowest level.
func clipped(x []float64) bool {
	low, high := x[0], x[0]
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	near := (high - low) * 1e-6
	n := 0
	for _, v := range x {
		if v >= high-near || v <= low+near {
			n++
		}
	}
	return float64(n) > clippedShare*float64(len(x))
}
