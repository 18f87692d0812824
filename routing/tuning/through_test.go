package tuning

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
)

// keyed are readings of the first voice as somebody takes them: keys are played, with
// or without its correction, on an oscillator that is so many cents sharp.
func keyed(rig *profiles.Rig, played, said Through, cents func(float64) float64, keys ...int) (all []Reading) {
	for _, r := range at(rig, 0, "", cents, keys...) {
		r.Keyed, r.Through = true, played
		r.Key = midi.Key(math.Round(routing.PitchAt(Boxes(rig)[0], 440, r.Volts)))
		r.Volts = r.sent(Boxes(rig)[0], &routing.Corrections(rig)[0], 440)
		ideal := routing.PitchAt(Boxes(rig)[0], 440, r.Volts)
		r.Hertz = hertzOf(ideal+cents(ideal)/100, 440)
		r.Through = NotSaid
		r.Volts = r.sent(Boxes(rig)[0], nil, 440)
		all = append(all, r)
	}
	if said != NotSaid {
		Say(rig, all, said)
	}
	return all
}

// A voice is read, corrected, and read again through its correction: it then sounds
// in tune. Said so, the correction stays as it is; not said, nothing is written and
// one finding says what to do; and the same readings by the interface itself, again
// or with another drift, are no question where they ask for the same.
func TestCorrectionsAreNotErased(t *testing.T) {
	rig := rigOf(t, wall)
	sharp := line(8, 1.5)
	keys := []int{48, 60, 72, 84}
	first := Study(rig, keyed(rig, Nothing, NotSaid, sharp, keys...), 10).Corrections()
	require.Len(t, first, 1)

	corrected := rigOf(t, wall)
	corrected.Corrections = first
	through := keyed(corrected, ThroughCorrections, NotSaid, sharp, keys...)
	for _, m := range through {
		require.InDelta(t, 0, 100*(pitchOf(m.Hertz, 440)-float64(m.Key)), 0.05) // in tune, as the player hears it
	}
	asked := Study(corrected, through, 10)
	require.Empty(t, asked.Corrections())
	require.Empty(t, asked.Trims)
	require.Empty(t, asked.Banks)
	require.Contains(t, codes(asked), routing.ReadingsThrough)

	said := Study(corrected, keyed(corrected, ThroughCorrections, ThroughCorrections, sharp, keys...), 10)
	require.NotContains(t, codes(said), routing.ReadingsThrough)
	require.Len(t, said.Corrections(), 1)
	require.InDelta(t, float64(first[0].Offset), float64(said.Corrections()[0].Offset), 3e-5)
	require.InDelta(t, first[0].Scale, said.Corrections()[0].Scale, 3e-5)
	require.InDelta(t, 0, said.Voices[0].Before.Worst, 0.1)

	// taken as they are, they say that the voice is in tune: the correction goes
	erased := Study(corrected, keyed(corrected, ThroughCorrections, Nothing, sharp, keys...), 10)
	require.InDelta(t, 1, erased.Corrections()[0].Scale, 1e-4)

	again := Study(corrected, keyed(corrected, Nothing, NotSaid, sharp, keys...), 10)
	require.Equal(t, first, again.Corrections())
	moved := Study(corrected, keyed(corrected, Nothing, NotSaid, line(12, 1.5), keys...), 10)
	require.Empty(t, moved.Corrections())
	require.Contains(t, codes(moved), routing.ReadingsThrough)
}

// A rig without corrections has nothing to go through, and volts are those at the jack.
func TestNothingToAsk(t *testing.T) {
	rig := rigOf(t, wall)
	require.NotContains(t, codes(Study(rig, keyed(rig, Nothing, NotSaid, by(2), 48, 60, 72), 3)), routing.ReadingsThrough)
	rig.Corrections = []profiles.Correction{{Voice: 0, Scale: 1.01}}
	require.NotContains(t, codes(Study(rig, at(rig, 0, "", by(2), 48, 60, 72), 3)), routing.ReadingsThrough)
}

func codes(r *Result) (all []routing.Code) {
	for _, f := range r.Findings {
		all = append(all, f.Code)
	}
	return all
}

// C4 stands for 2 V; through offset 10 mV and scale 1.001 the jack gives 2.012 V.
func TestReadThrough(t *testing.T) {
	rig := rigOf(t, wall+"corrections: {K1: {offset: 10 mV, scale: 1.001, measured: 2026-11-01}}\n")
	for text, want := range map[string]Reading{
		"voice,key,hertz\nK1,60,261.6\n":                                         {Volts: 2},
		"# through: nothing\nvoice,key,hertz\nK1,60,261.6\n":                     {Volts: 2, Through: Nothing},
		"#through: corrections\nvoice,key,hertz\nK1,60,261.6\n":                  {Volts: 2.012, Through: ThroughCorrections},
		"# an hour warm\n# through: corrections\nvoice;key;hertz\nK1;60;261,6\n": {Volts: 2.012, Through: ThroughCorrections},
	} {
		got, faults := ReadCSV("r.csv", []byte(text), rig)
		require.Empty(t, faults, text)
		require.InDelta(t, float64(want.Volts), float64(got[0].Volts), 1e-12, text)
		require.Equal(t, want.Through, got[0].Through, text)
	}
	got, faults := ReadYAML("r.yaml", []byte("through: corrections\nreadings: [{voice: K1, key: 60, hertz: 261.6}, {voice: K2, key: 60, hertz: 261.6}, {voice: K1, volts: 2, hertz: 262}]\n"), rig)
	require.Empty(t, faults)
	require.Equal(t, []float64{2.012, 2, 2}, []float64{math.Round(float64(got[0].Volts)*1e9) / 1e9, float64(got[1].Volts), float64(got[2].Volts)})

	_, faults = ReadCSV("r", []byte("# through: cables\nvoice,key,hertz\nK1,60,261.6\nK1,72,523\n"), rig)
	require.EqualError(t, faults, `r:1:1: through: found "cables", want nothing or corrections`)
	_, faults = ReadYAML("r", []byte("- {voice: K1, key: 60, hertz: 261.6, through: nothing}\n"), rig)
	require.ErrorContains(t, faults, `unknown key "through"`) // of all readings, or of none
}

// Without its cable a voice has one pitch, with noise: it is told from a slope, below
// 10 % of what was asked and just above it, whatever the noise; seeded.
func TestUnpluggedCable(t *testing.T) {
	rig := rigOf(t, wall)
	rng := rand.New(rand.NewPCG(5, 6))
	slope := func(part, noise float64) func(float64) float64 {
		return func(key float64) float64 { return 100*(part-1)*(key-60) + noise*rng.NormFloat64() }
	}
	for range 200 {
		r := Study(rig, at(rig, 0, "", slope(0, 100*rng.Float64()), fiveKeys...), 3)
		require.Equal(t, NotTracking, r.Voices[0].Why)
		require.Equal(t, routing.TrackingLost, r.Findings[0].Code)
		require.NotContains(t, codes(r), routing.ReadingDoubtful) // no octave errors
		require.Empty(t, r.Trims)
		require.Empty(t, r.Banks) // it does not stand apart: it is not there
	}
	require.Equal(t, NotTracking, Study(rig, at(rig, 0, "", slope(0.09, 0), fiveKeys...), 3).Voices[0].Why)
	require.NotEqual(t, NotTracking, Study(rig, at(rig, 0, "", slope(0.11, 0), fiveKeys...), 3).Voices[0].Why)
	require.Equal(t, NotTracking, Study(rig, at(rig, 0, "", slope(0, 1), 36, 60), 3).Voices[0].Why) // two are enough to tell
	require.Equal(t, TooFewVolts, Study(rig, at(rig, 0, "", slope(0, 1), 60, 61), 3).Voices[0].Why)
}

// An octave that somebody wrote down wrong is set apart before the fit, which is that
// of the others; of half the readings nobody can say which are wrong.
func TestOctaveIsSetApart(t *testing.T) {
	rig := rigOf(t, wall)
	clean := Study(rig, at(rig, 0, "", line(5, 1), 36, 48, 60, 84), 3)
	slip := at(rig, 0, "", line(5, 1), fiveKeys...)
	slip[3].Hertz *= 2
	r := Study(rig, slip, 3)
	v := r.Voices[0]
	require.Equal(t, 1, v.Readings[3].Octaves)
	require.False(t, v.Readings[3].Used)
	require.InDelta(t, clean.Voices[0].Line.Slope, v.Line.Slope, 1e-9)
	require.Equal(t, clean.Voices[0].Correction, v.Correction)
	require.Equal(t, routing.ReadingDoubtful, r.Findings[0].Code)
	require.Contains(t, r.Findings[0].Text, "1 octave: it is left out")

	half := at(rig, 0, "", by(0), 36, 48, 60, 72)
	half[0].Hertz, half[3].Hertz = half[0].Hertz*2, half[3].Hertz*2
	for _, m := range Study(rig, half, 3).Voices[0].Readings {
		require.Zero(t, m.Octaves)
	}
	for _, m := range Study(rig, at(rig, 0, "", by(1203), fiveKeys...), 3).Voices[0].Readings {
		require.Zero(t, m.Octaves) // all alike: its octave switch
	}
}

// Three readings of which the middle one is 12 cents flat have one line and a wide
// limit, not points; five have points.
func TestFewReadingsGiveLimits(t *testing.T) {
	rig := rigOf(t, wall)
	bent := func(key float64) float64 {
		if key == 60 {
			return -12
		}
		return 0
	}
	v := Study(rig, at(rig, 0, "", bent, 48, 60, 72), 20).Voices[0]
	require.False(t, v.Piecewise)
	require.Empty(t, v.Correction.Points)
	// residuals 4, −8, 4: s = √(16 + 64 + 16) = 9.798; at an end x − mean = 1 V, Sxx = 2,
	// t of one degree 12.706: 12.706·9.798·√(1 + 1/3 + 1/2) = 168.6
	require.InDelta(t, math.Sqrt(96), v.Residual, 1e-9)
	require.InDelta(t, 168.6, v.Limit, 0.1)
	require.True(t, Study(rig, at(rig, 0, "", bent, fiveKeys...), 20).Voices[0].Piecewise)

	exact := Study(rig, at(rig, 0, "", by(1), 48, 60, 72), 3).Voices[0]
	require.Equal(t, routing.ReadingSigma, *exact.Correction.Residual) // never below a reading's own
	require.InDelta(t, 12.706*float64(routing.ReadingSigma)*math.Sqrt(11./6), exact.Limit, 1e-3)
}

// What is to be turned by hand is not for the rig; what the correction does is.
func TestByHandIsNotWritten(t *testing.T) {
	rig := rigOf(t, wall)
	var all []Reading
	for voice, cents := range []float64{-0.4, -0.9, 14, -1.1} {
		all = append(all, at(rig, voice, "", by(cents), 48, 60, 72, 84)...)
	}
	r := Study(rig, all, 3)
	require.True(t, r.Voices[2].ByHand)
	require.NotNil(t, r.Voices[2].Correction)
	for _, c := range r.Corrections() {
		require.NotEqual(t, 2, c.Voice)
	}
	require.Len(t, r.Corrections(), 3)
}
