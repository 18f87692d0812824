package alloc_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi"
)

// The engine decides what the slow reference decides: for random rigs, random
// parts and random songs, under every picking and every stealing rule.
func TestRandomSongsLikeTheSlowReference(t *testing.T) {
	var c comparison
	rapid.Check(t, func(t *rapid.T) {
		cfg := drawConfig(t)
		p := drawPerformance(t)
		c.same(t, cfg, p)
		part := &cfg.Parts[rapid.IntRange(0, len(cfg.Parts)-1).Draw(t, "part that tries all rules")]
		was := *part
		for pick := range alloc.PickNames() {
			part.Pick = alloc.PickRule(pick)
			c.same(t, cfg, p)
		}
		*part = was
		for steal := range alloc.StealNames() {
			part.Steal = alloc.StealRule(steal)
			c.same(t, cfg, p)
		}
	})
	c.done(t)
}

// drawConfig draws up to three parts over up to twelve voices. The times of
// the envelopes are no multiples of each other, so that no two tails meet at
// one level but those that began alike.
func drawConfig(t *rapid.T) alloc.Config {
	banks := rapid.IntRange(1, 3).Draw(t, "banks")
	n := rapid.IntRange(banks, 12).Draw(t, "voices")
	cfg := alloc.Config{
		MinGate: rapid.SampledFrom([]time.Duration{0, 5 * time.Millisecond, 25 * time.Millisecond}).Draw(t, "minimum gate"),
		FreeDB:  rapid.SampledFrom([]float64{-60, -48.5}).Draw(t, "free"),
	}
	envelopes := rapid.SliceOfN(drawEnvelope(), banks, banks).Draw(t, "envelopes")
	mixed := rapid.Bool().Draw(t, "envelopes differ within banks")
	window := drawWindow().Draw(t, "window")
	for i := range n { // bank by bank
		bank := i * banks / n
		v := alloc.Voice{Bank: bank, Envelope: envelopes[bank], Window: window}
		if mixed {
			v.Envelope = drawEnvelope().Draw(t, "envelope")
		}
		if i > 0 && cfg.Voices[i-1].Bank == bank { // the first of each bank serves
			v.State = rapid.SampledFrom([]alloc.VoiceState{alloc.In, alloc.In, alloc.In, alloc.Out, alloc.Limited, alloc.Spare, alloc.Joined}).Draw(t, "state")
		}
		if v.State == alloc.Limited {
			v.Keys.Low = midi.Key(rapid.IntRange(55, 66).Draw(t, "limited from"))
			v.Keys.High = v.Keys.Low + midi.Key(rapid.IntRange(0, 8).Draw(t, "limited by"))
		}
		if v.State == alloc.Joined {
			v.With = slices.IndexFunc(cfg.Voices, func(w alloc.Voice) bool { return w.Bank == bank })
		}
		cfg.Voices = append(cfg.Voices, v)
	}
	for range rapid.IntRange(1, 3).Draw(t, "parts") {
		cfg.Parts = append(cfg.Parts, drawPart(t, banks, n))
	}
	return cfg
}

func drawEnvelope() *rapid.Generator[alloc.Envelope] {
	ms := func(n ...int) *rapid.Generator[time.Duration] {
		return rapid.Map(rapid.SampledFrom(n), func(n int) time.Duration { return time.Duration(n) * time.Millisecond })
	}
	return rapid.Custom(func(t *rapid.T) alloc.Envelope {
		return alloc.Envelope{
			Attack:  ms(0, 0, 7, 53).Draw(t, "attack"),
			Decay:   ms(0, 31, 307).Draw(t, "decay"),
			Sustain: rapid.SampledFrom([]float64{1, 1, 0.53, 0}).Draw(t, "sustain"),
			Release: ms(0, 89, 211, 397).Draw(t, "release"),
		}
	})
}

// drawWindow draws windows of an octave and more, so that a fold always fits.
func drawWindow() *rapid.Generator[alloc.Window] {
	return rapid.SampledFrom([]alloc.Window{{}, {}, {Bounded: true, Low: 58, High: 70}, {Bounded: true, Low: 48.5, High: 66.5}})
}

func drawPart(t *rapid.T, banks, voices int) alloc.Part {
	p := alloc.Part{
		Sources: []alloc.Source{{
			AnyPort:  rapid.Bool().Draw(t, "any port"),
			Port:     midi.Port(rapid.IntRange(0, 1).Draw(t, "port")),
			Channels: rapid.SampledFrom([]uint16{1, 2, 3}).Draw(t, "channels"),
		}},
		Keys:       alloc.KeyRange{Low: midi.Key(rapid.SampledFrom([]int{0, 60}).Draw(t, "lowest key")), High: 127},
		Velocities: rapid.SampledFrom([][2]uint8{{1, 127}, {1, 127}, {1, 80}, {81, 127}}).Draw(t, "velocities"),
		Transpose:  rapid.SampledFrom([]int{0, 0, 12, -2}).Draw(t, "transpose"),

		Pick:             alloc.PickRule(rapid.IntRange(0, len(alloc.PickNames())-1).Draw(t, "pick")),
		Steal:            alloc.StealRule(rapid.IntRange(0, len(alloc.StealNames())-1).Draw(t, "steal")),
		SameKey:          alloc.SameKey(rapid.IntRange(0, 3).Draw(t, "same key")),
		MixClasses:       rapid.Bool().Draw(t, "mix classes"),
		NewcomerCompetes: rapid.Bool().Draw(t, "newcomer competes"),
		TailsUnknown:     rapid.Bool().Draw(t, "tails unknown"),
		BendRange:        rapid.SampledFrom([]float64{2, 7}).Draw(t, "bend range"),
		BendTails:        rapid.Bool().Draw(t, "bend tails"),
		OutOfRange:       alloc.OutOfRange(rapid.IntRange(0, 2).Draw(t, "out of range")),
		Seed:             rapid.Uint64Range(0, 3).Draw(t, "seed"),
		Priority:         rapid.IntRange(1, 3).Draw(t, "priority"),
		Fixed:            map[midi.Key]int{},
	}
	for p.Second = alloc.PickSameKey; p.Second == alloc.PickSameKey; {
		p.Second = alloc.PickRule(rapid.IntRange(0, len(alloc.PickNames())-1).Draw(t, "second"))
	}
	for b := range banks {
		if b == 0 && banks == 1 || rapid.IntRange(0, 2).Draw(t, "plays on the bank") > 0 {
			p.Banks = append(p.Banks, b)
		}
	}
	if len(p.Banks) == 0 {
		p.Banks = []int{0}
	}
	for key := midi.Key(58); key < 66; key++ {
		if v := rapid.IntRange(-1, voices-1).Draw(t, "fixed voice"); v >= 0 {
			p.Fixed[key] = v
		}
	}
	return p
}

// drawPerformance draws a song in arrival order, much of it at the same
// instants, some of it a nanosecond apart.
func drawPerformance(t *rapid.T) performance {
	var p performance
	at := time.Duration(0)
	for range rapid.IntRange(0, 50).Draw(t, "events") {
		at += rapid.SampledFrom([]time.Duration{0, 0, 1, 3 * time.Millisecond, 10 * time.Millisecond, 10 * time.Millisecond,
			40 * time.Millisecond, 170 * time.Millisecond}).Draw(t, "after")
		s := drawStep(t)
		s.At = at
		p.steps = append(p.steps, s)
	}
	p.end = at + rapid.SampledFrom([]time.Duration{0, 100 * time.Millisecond}).Draw(t, "rest")
	return p
}

func drawStep(t *rapid.T) midi.Step {
	s := midi.Step{Kind: drawKind(t)}
	s.Port = midi.Port(rapid.SampledFrom([]int{0, 0, 0, 1}).Draw(t, "on port"))
	s.Channel = midi.Channel(rapid.SampledFrom([]int{0, 0, 0, 1}).Draw(t, "on channel"))
	switch s.Kind {
	case midi.StepNoteOn, midi.StepNoteOff, midi.StepKeyPressure:
		s.Key = midi.Key(rapid.IntRange(58, 66).Draw(t, "key"))
		s.Value = uint16(rapid.SampledFrom([]int{1, 64, 80, 81, 127}).Draw(t, "velocity"))
	case midi.StepBend:
		s.Value = uint16(rapid.SampledFrom([]int{0, 4096, 8192, 12000, 16383}).Draw(t, "bend"))
	case midi.StepBendRange:
		s.Value = uint16(rapid.SampledFrom([]int{0, 200, 1250}).Draw(t, "cents"))
	case midi.StepZone:
		s.Value = uint16(rapid.SampledFrom([]int{0, 1, 15}).Draw(t, "members"))
	default:
		s.Value = uint16(rapid.SampledFrom([]int{0, 63, 64, 127}).Draw(t, "value"))
	}
	return s
}

// drawKind draws note-ons and note-offs two times in three.
func drawKind(t *rapid.T) midi.StepKind {
	k := rapid.IntRange(0, 3*int(midi.StepZone)).Draw(t, "kind")
	switch {
	case k <= int(midi.StepZone):
		return midi.StepKind(k)
	case k%3 == 0:
		return midi.StepNoteOff
	}
	return midi.StepNoteOn
}
