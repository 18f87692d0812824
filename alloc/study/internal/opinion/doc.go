// Package opinion is the second opinion: from the bytes of a MIDI file to what
// became of every note, said once more and on its own. Only tests import it, and
// it imports nothing of the project, so that no mistake is shared.
//
// It is slow and obvious. [Judge] reads the file (Standard MIDI Files 1.0,
// RP-001), puts what happens at one instant in order, follows keys, pedals and
// mode messages (MIDI 1.0 Detailed Specification) to the gate of every note, and
// then gives out voices, scanning all of them for every question. It knows one
// part, on plain or on per-note channels (MPE, M1-100-UM), one voice a note, and no
// gaps.
//
// Where the texts leave two possibilities, the comment beside the code begins
// with "Reading".
package opinion

import "time"

// Rules are how one part plays on one pool.
type Rules struct {
	Voices      int
	SameKey     SameKey
	LongestIdle bool // else the lowest number
	Steal       Steal
	BlindTails  bool // picking cannot tell a tail from a free voice
	MinGate     time.Duration
	Overlap     time.Duration // a held note that loses no more was legato
	Envelope    Envelope
	FreeDB      float64 // a tail at or below this is over
	AudibleDB   float64 // a tail above this is heard
	Deaf        [16]bool
	Zones       []Zone // that the part listens to, instead of all channels that are not deaf
}

// SameKey says what a key does that is struck while it sounds, and its offs.
type SameKey int

// The rules for the same key again.
const (
	Counted  SameKey = iota // one voice, until the last off
	FirstOff                // one voice, until any off
	FIFO                    // a voice each, the first on gets the first off
	LIFO                    // a voice each, the last on gets the first off
)

// Steal says which sounding note is given up.
type Steal int

// The rules of stealing.
const (
	Oldest Steal = iota
	ProtectOuter
	Quietest
	Never
)

// Note is one sounding of a key and its fate.
type Note struct {
	Port, Channel, Key, Velocity int
	Start, KeyUp, End            time.Duration // its gate where no voice is lacking
	Superseded, Stuck, Zero      bool
	Bereft                       bool // a message to its zone's manager ended one of its key whose own off is still to come

	again   *Note // the note before it of the same key, which it supersedes
	state   state
	latched bool // by sostenuto

	Voice   int // -1 if it got none
	Ending  string
	Lost    time.Duration
	LevelDB float64 // of a tail that was cut

	cut   bool // while its gate was high
	cutAt time.Duration
	cutOn state // held or pedal
	tail  string
}

// Verdict is what there is to say about a file.
type Verdict struct {
	Notes                []*Note // in the order in which they began
	Held, Pedal, Audible int     // most at once, were there voices for all
	Unavoidable          time.Duration
	Fewest               int
	Orphans              int // offs of keys that were not down

	// Managed is how many mode messages to the manager of a zone ended a note that
	// was held on one of its members, by controller.
	Managed map[int]int

	// Edge: something hung on the last bits of a level, so that two programs
	// which are both right may differ.
	Edge bool
}

// Judge reads a file that is well formed and says what becomes of its notes.
func Judge(bytes []byte, r Rules) Verdict {
	f := read(bytes)
	events := inOrder(zoned(f.events, r))
	g := newGates(r)
	for _, e := range events {
		g.hear(e)
	}
	g.finish(f.end)
	w := &wall{rules: r, voices: make([]voice, r.Voices)}
	w.play(g.log)
	v := Verdict{Notes: g.notes, Edge: w.edge, Orphans: g.orphans, Managed: g.managed}
	v.measure(r)
	return v
}
