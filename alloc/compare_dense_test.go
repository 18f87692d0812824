package alloc_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi"
)

// The engine decides what the slow reference decides where voices are short all
// the time, and a run must have met what is rare elsewhere: see tally. A check
// draws ten songs.
func TestDenseSongsLikeTheSlowReference(t *testing.T) {
	var c comparison
	var met tally
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			cfg, p := drawFewVoices(t), drawDensePerformance(t)
			notes, ds := c.same(t, cfg, p)
			met.count(cfg, p, notes, ds)
		}
	})
	c.done(t)
	t.Logf("met: %+v", met)
	require.Empty(t, met.missing(), "the songs are not dense enough to tell the two apart")
}

// drawFewVoices draws two to five voices and one or two parts, which listen to
// all that comes and often have a unison.
func drawFewVoices(t *rapid.T) alloc.Config { return drawVoices(t, 2, 5) }

func drawVoices(t *rapid.T, least, most int) alloc.Config {
	n := rapid.IntRange(least, most).Draw(t, "few voices")
	cfg := alloc.Config{
		MinGate: rapid.SampledFrom([]time.Duration{0, 5 * time.Millisecond, 25 * time.Millisecond}).Draw(t, "minimum gate"),
		FreeDB:  -60,
	}
	for range n {
		v := alloc.Voice{Envelope: drawEnvelope().Draw(t, "envelope")}
		if evenly(t, "limited", false, false, false, true) { // so that one note may pass another that waits
			v.State, v.Keys = alloc.Limited, alloc.KeyRange{Low: evenly[midi.Key](t, "from", 58, 60), High: evenly[midi.Key](t, "to", 61, 64)}
		}
		cfg.Voices = append(cfg.Voices, v)
	}
	for range rapid.IntRange(1, 2).Draw(t, "parts") {
		p := drawPart(t, 1, n)
		p.Sources, p.Keys.Low = []alloc.Source{{AnyPort: true, Channels: 3}}, 0
		cfg.Parts = append(cfg.Parts, p)
	}
	for i := range cfg.Parts {
		p := &cfg.Parts[i]
		if rapid.Bool().Draw(t, "unison") {
			drawUnison(t, &cfg, p)
		}
		if rapid.IntRange(0, 3).Draw(t, "reserve") == 3 {
			drawReserve(t, &cfg, p)
		}
	}
	return cfg
}

// Who is the quietest hangs on times and levels that few songs move: here attacks and decays are long,
// one or two kinds of voices are many, and the quietest goes whenever there is none left.
func TestQuietestOfManyLikeTheSlowReference(t *testing.T) {
	var c comparison
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			cfg := drawVoices(t, 4, 9)
			kinds := rapid.SliceOfN(drawLongEnvelope(), 1, 2).Draw(t, "kinds")
			for i := range cfg.Voices {
				cfg.Voices[i].State, cfg.Voices[i].Envelope = alloc.In, evenly(t, "kind", kinds...)
			}
			for i := range cfg.Parts {
				cfg.Parts[i].Pick, cfg.Parts[i].Steal, cfg.Parts[i].Unison = alloc.PickLowest, alloc.StealQuietest, alloc.Unison{}
			}
			c.same(t, cfg, drawDensePerformance(t))
		}
	})
	require.LessOrEqual(t, c.doubtful, c.runs/5, "of equal levels rounding decides more often here")
}

func drawLongEnvelope() *rapid.Generator[alloc.Envelope] {
	return rapid.Custom(func(t *rapid.T) alloc.Envelope {
		ms := time.Millisecond
		return alloc.Envelope{Attack: evenly(t, "attack", 0, 53*ms, 211*ms, 907*ms), Decay: evenly(t, "decay", 0, 31*ms, 307*ms, 1511*ms),
			Sustain: evenly(t, "sustain", 1, 0.53, 0.11, 0), Release: evenly(t, "release", 0, 89*ms, 397*ms)}
	})
}

// denseKinds are the steps of a dense song, as often as they stand here: keys go
// down and up, and pedals keep much of what goes up.
var denseKinds = slices.Concat(
	slices.Repeat([]midi.StepKind{midi.StepNoteOn}, 12), slices.Repeat([]midi.StepKind{midi.StepNoteOff}, 8),
	slices.Repeat([]midi.StepKind{midi.StepSostenuto}, 6), slices.Repeat([]midi.StepKind{midi.StepSustain}, 2),
	[]midi.StepKind{midi.StepNotesOff, midi.StepSoundOff, midi.StepReset, midi.StepBend})

// evenly draws one of a list, each as likely as any other: what rapid draws by
// itself leans to the front.
func evenly[T any](t *rapid.T, what string, list ...T) T {
	for {
		n := 0
		for bit := 1; bit < len(list); bit *= 2 {
			if rapid.Bool().Draw(t, what) {
				n += bit
			}
		}
		if n < len(list) {
			return list[n]
		}
	}
}

// drawDensePerformance draws a song of nine keys on two channels. Most offs are
// of keys that are down.
func drawDensePerformance(t *rapid.T) performance {
	var p performance
	var down []midi.Step
	at := time.Duration(0)
	for range rapid.IntRange(40, 80).Draw(t, "events") {
		at += evenly(t, "after", 0, 0, 0, 1, 3*time.Millisecond, 10*time.Millisecond, 30*time.Millisecond, 70*time.Millisecond)
		s := drawDenseStep(t)
		if n := len(down); s.Kind == midi.StepNoteOff && n > 0 && rapid.IntRange(0, 3).Draw(t, "off of") > 0 {
			i := rapid.IntRange(0, n-1).Draw(t, "key that is down")
			s.Channel, s.Key = down[i].Channel, down[i].Key
			down = slices.Delete(down, i, i+1)
		}
		if s.Kind == midi.StepNoteOn {
			down = append(down, s)
		}
		s.At = at
		p.steps = append(p.steps, s)
	}
	p.end = at + rapid.SampledFrom([]time.Duration{0, 100 * time.Millisecond}).Draw(t, "rest")
	return p
}

func drawDenseStep(t *rapid.T) midi.Step {
	s := midi.Step{Kind: evenly(t, "kind", denseKinds...), Channel: evenly[midi.Channel](t, "on channel", 0, 0, 0, 1)}
	switch s.Kind {
	case midi.StepNoteOn, midi.StepNoteOff:
		s.Key = evenly[midi.Key](t, "key", 58, 59, 60, 61, 62, 63, 64, 65)
		s.Value = evenly[uint16](t, "velocity", 1, 64, 80, 127)
	case midi.StepBend:
		s.Value = evenly[uint16](t, "bend", 0, 16383)
	default:
		s.Value = evenly[uint16](t, "value", 0, 127)
	}
	return s
}
