package alloc_test

import (
	"cmp"
	"slices"
	"testing"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/midi/corpora"
)

// beat is the grid of the small songs.
const beat = 100 * time.Millisecond

// shape is what a small song is made of.
type shape struct {
	notes   int
	starts  int   // a note starts on beat 0 … starts
	lengths []int // in beats
	keys    int   // from 60
}

// small is one note of a small song.
type small struct{ start, length, key int }

// each calls visit with every song of the shape, starts ascending.
func (s shape) each(visit func(notes []small)) {
	notes := make([]small, s.notes)
	var fill func(i, from int)
	fill = func(i, from int) {
		if i == len(notes) {
			visit(notes)
			return
		}
		for start := from; start <= s.starts; start++ {
			for _, length := range s.lengths {
				for key := range s.keys {
					notes[i] = small{start, length, 60 + key}
					fill(i+1, start)
				}
			}
			if i == 0 {
				break // the first note starts on beat 0
			}
		}
	}
	fill(0, 0)
}

// pedals are the ways in which the small songs use their pedals, at half beats
// and, the last, on them.
var pedals = [][]midi.Step{
	nil,
	{{At: beat / 2, Kind: midi.StepSustain, Value: 127}, {At: 5 * beat / 2, Kind: midi.StepSustain}},
	{{At: beat / 2, Kind: midi.StepSostenuto, Value: 127}, {At: 7 * beat / 2, Kind: midi.StepSostenuto}},
	{{At: beat, Kind: midi.StepSustain, Value: 127}, {At: 2 * beat, Kind: midi.StepNotesOff}, {At: 3 * beat, Kind: midi.StepSustain}},
}

// play makes a performance of the notes: everything but note-ons comes first
// at one instant. Velocities differ, so that softest has something to choose.
func play(notes []small, pedal []midi.Step) performance {
	steps := slices.Clone(pedal)
	for i, n := range notes {
		at := time.Duration(n.start) * beat
		steps = append(steps,
			midi.Step{At: at, Kind: midi.StepNoteOn, Key: midi.Key(n.key), Value: uint16(100 - 20*(i%3))},
			midi.Step{At: at + time.Duration(n.length)*beat, Kind: midi.StepNoteOff, Key: midi.Key(n.key)})
	}
	slices.SortStableFunc(steps, func(a, b midi.Step) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(isOn(a), isOn(b)))
	})
	return performance{steps, 8 * beat}
}

func isOn(s midi.Step) int {
	if s.Kind == midi.StepNoteOn {
		return 1
	}
	return 0
}

// smallRigs are all rigs of up to most voices with the rules that the small
// songs are played by: every picking rule with protect-outer, every stealing
// rule with longest-idle, tails known and unknown, every same-key rule.
func smallRigs(most int) []alloc.Config {
	var rigs []alloc.Config
	for voices := 1; voices <= most; voices++ {
		for sameKey := range alloc.SameKeyNames() {
			for _, unknown := range []bool{false, true} {
				for pick := range alloc.PickNames() {
					rigs = append(rigs, smallRig(voices, alloc.PickRule(pick), alloc.StealProtectOuter, alloc.SameKey(sameKey), unknown))
				}
				for steal := range alloc.StealNames() {
					if alloc.StealRule(steal) != alloc.StealProtectOuter {
						rigs = append(rigs, smallRig(voices, alloc.PickLongestIdle, alloc.StealRule(steal), alloc.SameKey(sameKey), unknown))
					}
				}
			}
		}
	}
	return rigs
}

// smallRig has one part over two banks, tails of two beats after a short
// attack, and a minimum gate that no small note falls below.
func smallRig(voices int, pick alloc.PickRule, steal alloc.StealRule, sameKey alloc.SameKey, unknown bool) alloc.Config {
	part := alloc.Part{
		Sources: []alloc.Source{{AnyPort: true, Channels: 1}}, Keys: alloc.KeyRange{Low: 0, High: 127},
		Velocities: [2]uint8{1, 127}, Banks: []int{0, 1}, Pick: pick, Second: alloc.PickRoundRobin, Steal: steal,
		SameKey: sameKey, TailsUnknown: unknown, BendRange: 2, Priority: 1, Seed: 7,
		Fixed: map[midi.Key]int{60: 0, 61: min(1, voices-1), 62: voices - 1},
	}
	cfg := alloc.Config{Parts: []alloc.Part{part}, MinGate: 5 * time.Millisecond, FreeDB: -60}
	for v := range voices {
		cfg.Voices = append(cfg.Voices, alloc.Voice{Bank: 2 * v / voices, Envelope: alloc.Envelope{
			Attack: 20 * time.Millisecond, Sustain: 1, Release: 2 * beat}})
	}
	if voices == 1 { // there is no second bank
		cfg.Parts[0].Banks = []int{0}
	}
	return cfg
}

// The engine decides what the slow reference decides: for every song of one note,
// every rule. Songs of more notes are many: each is played by some rules only, in
// turn, and with CHOIRLOFT_CORPORA set those of up to three notes by every rule.
func TestSmallSongsLikeTheSlowReference(t *testing.T) {
	var c comparison
	for _, set := range []struct {
		shape shape
		rigs  []alloc.Config
		every int // n-th rig only, and with CHOIRLOFT_CORPORA
		fully int
	}{
		{shape{1, 0, []int{1, 2}, 1}, smallRigs(1), 1, 1},
		{shape{2, 2, []int{1, 2}, 3}, smallRigs(2), 29, 1},
		{shape{3, 2, []int{1, 2}, 3}, smallRigs(2), 1613, 1},
		{shape{4, 3, []int{1, 3}, 3}, smallRigs(3), 48017, 34},
	} {
		every, turn := corpora.Some(set.every, set.fully), 0
		set.shape.each(func(notes []small) {
			for _, pedal := range pedals {
				p := play(notes, pedal)
				for turn = turn % every; turn < len(set.rigs); turn += every {
					c.same(t, set.rigs[turn], p)
				}
				turn -= len(set.rigs)
			}
		})
	}
	c.done(t)
}
