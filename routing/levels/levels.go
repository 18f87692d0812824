// Package levels follows the loudness of many voices through a rack: voice,
// submixer of its bank, main mixer, output, with what is left to the clip at
// each.
//
// n voices sum to n·Vp where their peaks meet, and to Vrms·√n where they know
// nothing of each other (level-addition tables; crest of a saw and a triangle
// 4.77 dB, of a sine 3.01). How many sound at once comes from a song that was
// played, else from the voices in service. [New] makes the ladder.
//
// It measures nothing, and knows neither filters nor velocities: every voice
// counts at its full level.
package levels

import (
	"math"

	"choirloft/profiles"
)

// Counts is how many voices sound at once, at most.
type Counts struct {
	Banks []int // of each bank
	All   int   // of the rack
	// Counted in a song; otherwise they are the voices in service.
	Counted bool
}

// Ladder is the way of the sound.
type Ladder struct {
	Counts
	Voice Stage
	Banks []Stage // submixers, by bank
	Main  Stage
	Shape profiles.Shape
}

// Stage is one step of it.
type Stage struct {
	Voices int // at once
	// Gain is that of the stage itself, and Chain of all up to here and with it.
	Gain, Chain profiles.Decibels
	Peak, RMS   profiles.Volts // of one voice at its source
	Clip        profiles.Volts
	// Coherent: the voices are in step, so that only the coherent sum counts.
	Coherent bool
}

// crest is the peak of a waveform by its rms.
func crest(s profiles.Shape) float64 {
	switch s {
	case profiles.Sine:
		return math.Sqrt2
	case profiles.Square:
		return 1
	}
	return math.Sqrt(3) // saw, triangle
}

// New works the ladder out. Coherent says for each bank whether its voices are
// in step: a unison without detune, or hard sync.
func New(l profiles.Levels, c Counts, coherent []bool) *Ladder {
	peak := profiles.Volts(l.Voice / 2)
	source := Stage{Voices: 1, Peak: peak, RMS: peak / profiles.Volts(crest(l.Shape)), Clip: l.Clip}
	ladder := &Ladder{Counts: c, Voice: source, Main: source, Shape: l.Shape}
	for i, n := range c.Banks {
		s := source
		s.Voices, s.Gain, s.Chain, s.Coherent = n, l.Submix, l.Submix, coherent[i]
		ladder.Banks = append(ladder.Banks, s)
		ladder.Main.Coherent = ladder.Main.Coherent || coherent[i]
	}
	ladder.Main.Voices, ladder.Main.Gain, ladder.Main.Chain = c.All, l.Main, l.Submix+l.Main
	return ladder
}

// factor is a gain as a ratio of amplitudes.
func factor(g profiles.Decibels) profiles.Volts { return profiles.Volts(math.Pow(10, float64(g)/20)) }

// Decibels is a ratio of amplitudes in dB: −Inf for 0.
func Decibels(ratio float64) profiles.Decibels { return profiles.Decibels(20 * math.Log10(ratio)) }

// CoherentPeak is behind the stage when all peaks meet: n·Vp.
func (s *Stage) CoherentPeak() profiles.Volts {
	return profiles.Volts(s.Voices) * s.Peak * factor(s.Chain)
}

// Sigma is the rms of the sum behind the stage: Vrms·√n.
func (s *Stage) Sigma() profiles.Volts {
	return profiles.Volts(math.Sqrt(float64(s.Voices))) * s.RMS * factor(s.Chain)
}

// Crest is the peak that is reckoned with: four sigma, but never more than the
// coherent one; the coherent one where voices are in step.
func (s *Stage) Crest() profiles.Volts {
	if s.Coherent {
		return s.CoherentPeak()
	}
	return min(4*s.Sigma(), s.CoherentPeak())
}

// Headroom is what is left from a peak up to the clip: +Inf of silence.
func (s *Stage) Headroom(peak profiles.Volts) profiles.Decibels {
	return Decibels(float64(s.Clip / peak))
}

// NeverClips is the highest gain of the stage at which nothing clips, whatever
// the phases: clip/(n·Vp), reckoned from what comes in.
func (s *Stage) NeverClips() profiles.Decibels { return s.Gain + s.Headroom(s.CoherentPeak()) }

// FourSigma is the gain at which four sigma just reach the clip: clip/(4·Vrms·√n).
// It clips now and then.
func (s *Stage) FourSigma() profiles.Decibels { return s.Gain + s.Headroom(4*s.Sigma()) }

// ClipShare is the share of time, 0–1, for which the sum of voices that know
// nothing of each other is past the clip: erfc(clip/(σ√2)), and 0 where not even
// the coherent peak gets there.
func (s *Stage) ClipShare() float64 {
	if s.CoherentPeak() <= s.Clip {
		return 0
	}
	return math.Erfc(float64(s.Clip/s.Sigma()) / math.Sqrt2)
}

// zeroDBu is the rms of 0 dBu, √0.6 V.
var zeroDBu = profiles.Volts(math.Sqrt(0.6))

// DBu is an rms voltage in dBu.
func DBu(rms profiles.Volts) profiles.Decibels { return Decibels(float64(rms / zeroDBu)) }
