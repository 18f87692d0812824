// Package levels follows the loudness of many voices through a rack: voice,
// submixer of its bank, main mixer, output, with what is left to the clip at
// each.
//
// n voices sum to n·Vp where their peaks meet, and to Vrms·√n where they know
// nothing of each other (level-addition tables; crest of a saw and a triangle
// 4.77 dB, of a sine 3.01). Between the two, [Mix] says for how much of the time
// a sum is past a level, from the distributions of its waves. How many sound at
// once comes from a song that was played, else from the voices in service. [New]
// makes the ladder.
//
// It measures nothing, and knows neither filters nor velocities: every voice
// counts at its full level, with the whole wave of its oscillator. What a rig says was
// measured of a voice's level counts from there.
package levels

import (
	"math"
	"slices"

	"choirloft/alloc"
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
}

// Stage is one step of it.
type Stage struct {
	Voices Mix // at once
	// Gain is that of the stage itself, and Chain of all up to here and with it.
	Gain, Chain profiles.Decibels
	Peak        profiles.Volts // of one voice at its source
	Clip        profiles.Volts
	WaveGiven   bool // the rig says what all its waves are
	// Coherent: the voices are in step, so that only the coherent sum counts.
	Coherent bool
}

// power is the mean square of a waveform with a peak of 1.
var power = [...]float64{profiles.Saw: 1. / 3, profiles.Sine: 1. / 2, profiles.Triangle: 1. / 3, profiles.Square: 1}

// loudest are the waveforms, those first of which a sum is further out.
var loudest = [...]profiles.Shape{profiles.Square, profiles.Sine, profiles.Saw, profiles.Triangle}

// wave is what the voices of a bank sound like here: levels.shape where it is
// written, else the wave of their kind; given is false where that is assumed.
func wave(rig *profiles.Rig, bank int) (shape profiles.Shape, given bool) {
	if _, given = rig.Given("levels.shape"); given {
		return rig.Levels.Shape, true
	}
	kind := &rig.Kinds[rig.Banks[bank].Kind]
	_, given = rig.Given("voices." + kind.Name + ".sound.wave")
	return kind.Sound.Wave, given
}

// New works the ladder out. Coherent says for each bank whether its voices are
// in step: a unison without detune, or hard sync. Of all that sound at once as
// many as can be have the waves that sum furthest out.
func New(rig *profiles.Rig, c Counts, coherent []bool) *Ladder {
	l := rig.Levels
	source := Stage{Peak: profiles.Volts(l.Voice / 2), Clip: l.Clip, WaveGiven: true}
	ladder := &Ladder{Counts: c, Voice: source, Main: source}
	var most Mix
	for i, n := range c.Banks {
		s := source
		shape, given := wave(rig, i)
		s.Voices[shape], s.Gain, s.Chain, s.Coherent, s.WaveGiven = n, l.Submix, l.Submix, coherent[i], given
		s.Peak *= loudestOf(rig, n, func(v *profiles.Voice) bool { return v.Bank == i })
		most[shape] += n
		ladder.Banks = append(ladder.Banks, s)
		ladder.Main.Coherent = ladder.Main.Coherent || coherent[i]
		ladder.Main.WaveGiven = ladder.Main.WaveGiven && given
	}
	every := func(*profiles.Voice) bool { return true }
	ladder.Main.Peak *= loudestOf(rig, c.All, every)
	ladder.Voice.Peak *= loudestOf(rig, 1, every)
	ladder.Main.Voices, ladder.Main.Gain, ladder.Main.Chain = most.of(c.All), l.Main, l.Submix+l.Main
	ladder.Voice.Voices, ladder.Voice.WaveGiven = most.of(1), ladder.Main.WaveGiven
	if ladder.Voice.Voices.Voices() == 0 { // nothing sounds
		ladder.Voice.Voices[l.Shape] = 1
	}
	return ladder
}

// loudestOf is by how much the loudest so many of some voices are above one at full, as
// an rms over them: what was measured of each counts from the median of all. Their mean
// is no larger, so that peaks which meet are never said to be lower than they are.
func loudestOf(rig *profiles.Rig, n int, of func(*profiles.Voice) bool) profiles.Volts {
	var squares []float64
	for i := range rig.Voices {
		if v := &rig.Voices[i]; v.State != alloc.Out && of(v) {
			f := float64(factor(rig.Louder(i)))
			squares = append(squares, f*f)
		}
	}
	slices.Sort(squares)
	squares = squares[max(0, len(squares)-n):]
	if len(squares) == 0 {
		return 1
	}
	sum := 0.0
	for _, s := range squares {
		sum += s
	}
	return profiles.Volts(math.Sqrt(sum / float64(len(squares))))
}

// Trims are the turns at the mixer that bring each voice to the median: 0 dB where nobody
// measured.
func Trims(rig *profiles.Rig) (all []profiles.Decibels) {
	for i := range rig.Voices {
		all = append(all, -rig.Louder(i))
	}
	return all
}

// of are so many of a mix, the loudest waves first.
func (m Mix) of(n int) (some Mix) {
	for _, shape := range loudest {
		some[shape] = min(n, m[shape])
		n -= some[shape]
	}
	return some
}

// factor is a gain as a ratio of amplitudes.
func factor(g profiles.Decibels) profiles.Volts { return profiles.Volts(math.Pow(10, float64(g)/20)) }

// Decibels is a ratio of amplitudes in dB: −Inf for 0.
func Decibels(ratio float64) profiles.Decibels { return profiles.Decibels(20 * math.Log10(ratio)) }

// peaks is a level behind the stage, in volts, of one in peaks of a voice.
func (s *Stage) peaks(n float64) profiles.Volts {
	return profiles.Volts(n) * s.Peak * factor(s.Chain)
}

// CoherentPeak is behind the stage when all peaks meet: n·Vp.
func (s *Stage) CoherentPeak() profiles.Volts { return s.peaks(float64(s.Voices.Voices())) }

// Sigma is the rms of the sum behind the stage: Vrms·√n.
func (s *Stage) Sigma() profiles.Volts {
	var sum float64
	for shape, n := range s.Voices {
		sum += float64(n) * power[shape]
	}
	return s.peaks(math.Sqrt(sum))
}

// Rare is the share of the time for which a sum may be past what is reckoned with.
const Rare = 1e-4

// Crest is the peak that is reckoned with: the level that is passed for [Rare] of
// the time; the coherent peak where voices are in step, and of one alone.
func (s *Stage) Crest() profiles.Volts {
	if s.Coherent || s.Voices.Voices() == 1 {
		return s.CoherentPeak()
	}
	return s.peaks(s.Voices.Passed(Rare))
}

// Headroom is what is left from a peak up to the clip: +Inf of silence.
func (s *Stage) Headroom(peak profiles.Volts) profiles.Decibels {
	return Decibels(float64(s.Clip / peak))
}

// NeverClips is the highest gain of the stage at which nothing clips, whatever
// the phases: clip/(n·Vp), reckoned from what comes in.
func (s *Stage) NeverClips() profiles.Decibels { return s.Gain + s.Headroom(s.CoherentPeak()) }

// ClipShare is the share of time, 0–1, for which the sum is past the clip: of
// voices that know nothing of each other, or of one wave where all are in step.
func (s *Stage) ClipShare() float64 {
	n := s.Voices.Voices()
	if s.CoherentPeak() <= s.Clip {
		return 0
	}
	c := float64(s.Clip / s.peaks(1))
	if s.Coherent {
		return s.Voices.of(1).Beyond(c / float64(n))
	}
	return s.Voices.Beyond(c)
}

// zeroDBu is the rms of 0 dBu, √0.6 V.
var zeroDBu = profiles.Volts(math.Sqrt(0.6))

// DBu is an rms voltage in dBu.
func DBu(rms profiles.Volts) profiles.Decibels { return Decibels(float64(rms / zeroDBu)) }
