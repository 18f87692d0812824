package slow_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
)

// song reads the short form of the songs here, times in ms: "60 0–500" is a
// note, "60 0–500 v90" one with its velocity, "on 60 100" and "off 60 200"
// stand for themselves, "cc64 0 127" is a controller, "bend 0 16383",
// "range 0 12", "press 0 80" and "poly 60 0 80" are what they say.
// Items are parted by commas.
// Same instant: everything but note-ons first, then file order.
func song(t *testing.T, text string) []midi.Step {
	t.Helper()
	steps := filed(t, text)
	slices.SortStableFunc(steps, func(a, b midi.Step) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(rank(a), rank(b)))
	})
	return steps
}

func rank(s midi.Step) int {
	if s.Kind == midi.StepNoteOn {
		return 1
	}
	return 0
}

// filed reads the same and leaves the order as it is written.
func filed(t *testing.T, text string) []midi.Step {
	t.Helper()
	var steps []midi.Step
	for _, item := range strings.Split(text, ",") {
		steps = append(steps, item1(t, strings.TrimSpace(item))...)
	}
	return steps
}

var controllers = map[int]midi.StepKind{64: midi.StepSustain, 66: midi.StepSostenuto,
	120: midi.StepSoundOff, 121: midi.StepReset, 123: midi.StepNotesOff, 126: midi.StepNotesOff}

func item1(t *testing.T, item string) []midi.Step {
	t.Helper()
	var a, b, c int
	one := func(kind midi.StepKind, at, key, value int) []midi.Step {
		return []midi.Step{{At: ms(at), Kind: kind, Key: midi.Key(key), Value: uint16(value)}}
	}
	scans := func(format string, args ...any) bool {
		n, err := fmt.Sscanf(item+";", format+";", args...)
		return err == nil && n == len(args)
	}
	velocity := 100
	switch {
	case scans("on %d %d v%d", &a, &b, &velocity), scans("on %d %d", &a, &b):
		return one(midi.StepNoteOn, b, a, velocity)
	case scans("off %d %d", &a, &b):
		return one(midi.StepNoteOff, b, a, 64)
	case scans("cc%d %d %d", &a, &b, &c):
		require.Contains(t, controllers, a)
		return one(controllers[a], b, 0, c)
	case scans("bend %d %d", &a, &b):
		return one(midi.StepBend, a, 0, b)
	case scans("range %d %d", &a, &b):
		return one(midi.StepBendRange, a, 0, b*100)
	case scans("press %d %d", &a, &b):
		return one(midi.StepChannelPressure, a, 0, b)
	case scans("poly %d %d %d", &a, &b, &c):
		return one(midi.StepKeyPressure, b, a, c)
	case scans("%d %d–%d v%d", &a, &b, &c, &velocity), scans("%d %d–%d", &a, &b, &c):
		return append(one(midi.StepNoteOn, b, a, velocity), one(midi.StepNoteOff, c, a, 64)...)
	}
	require.Fail(t, "not an item of a song", item)
	return nil
}

func ms(n int) time.Duration { return time.Duration(n) * time.Millisecond }

// rig is one part on channel 1 over n voices of one bank, without attack or
// decay, with the picking and stealing rules named.
func rig(n int, t60 int, pick alloc.PickRule, steal alloc.StealRule) alloc.Config {
	cfg := alloc.Config{FreeDB: -60, Parts: []alloc.Part{{
		Name: "all", Sources: []alloc.Source{{AnyPort: true, Channels: 1}},
		Keys: alloc.KeyRange{Low: 0, High: 127}, Velocities: [2]uint8{1, 127},
		Banks: []int{0}, BendRange: 2, Pick: pick, Steal: steal, Priority: 1,
	}}}
	for range n {
		cfg.Voices = append(cfg.Voices, alloc.Voice{Envelope: alloc.Envelope{Sustain: 1, Release: ms(t60)}})
	}
	return cfg
}

// takes prints who took which voice: "60>1" of a free voice, "62>1!60" cutting
// a note that was held, ? one on the pedal, ~ a tail with its level, "=" a
// re-attack; "64-" is dropped.
func takes(ds []alloc.Decision) string {
	var words []string
	for _, d := range ds {
		voice := d.Voice + 1
		switch d.Kind {
		case alloc.Drop:
			words = append(words, fmt.Sprintf("%d-", d.Key))
		case alloc.Reattack:
			words = append(words, fmt.Sprintf("%d=%d", d.Key, voice))
		case alloc.Take:
			word := fmt.Sprintf("%d>%d", d.Key, voice)
			switch d.Was {
			case alloc.Held:
				word += fmt.Sprintf("!%d", d.CutKey)
			case alloc.Pedal:
				word += fmt.Sprintf("?%d", d.CutKey)
			case alloc.Tail:
				word += fmt.Sprintf("~%d(%.1f)", d.CutKey, d.CutDB)
			}
			words = append(words, word)
		}
	}
	return strings.Join(words, " ")
}

// gates prints when each voice's gate is high: "1:0–500 2:100–300", in the
// order in which it goes low; a "+" ends one that is re-attacked or stolen.
func gates(ds []alloc.Decision) string {
	up := map[int32]time.Duration{}
	var words []string
	for _, d := range ds {
		from, high := up[d.Voice]
		word := fmt.Sprintf("%d:%d–%d", d.Voice+1, from.Milliseconds(), d.At.Milliseconds())
		switch d.Kind {
		case alloc.Take, alloc.Reattack:
			if high {
				words = append(words, word+"+")
			}
			up[d.Voice] = d.At
		case alloc.Release:
			words = append(words, word)
			delete(up, d.Voice)
		}
	}
	for v := range up {
		words = append(words, fmt.Sprintf("%d never low", v+1))
	}
	return strings.Join(words, " ")
}
