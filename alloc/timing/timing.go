// Package timing turns the engine's decisions into edges: when each gate goes
// high and low and when each CV moves.
//
// A voice needs its gate low for a while before it can attack again, and a
// gate shorter than the minimum may not start an envelope at all. Live, both
// can only be had by delay: the new note is late. In an export the past can be
// changed: the gap comes off the previous note's end and the new note is on
// time. What is decided is the same in both.
//
// Most users need two calls: [New], and [Stage.Decide] for each decision. The
// package drops no note and never changes which voice plays it.
package timing

import (
	"cmp"
	"slices"
	"time"

	"choirloft/alloc"
)

// Rules are the times that the hardware needs. None is negative.
type Rules struct {
	Gap     time.Duration // gate low before an attack; common practice 3 ms
	MinGate time.Duration // shortest gate; common practice 5 ms
	// Lead is how long before its gate the CV moves; common practice 1 ms.
	// Live, a voice whose gate was low long enough gets both at once.
	Lead time.Duration
}

// Policy says where the time for gaps and minimum gates comes from.
type Policy uint8

// The policies.
const (
	Live   Policy = iota // new notes are delayed
	Export               // previous notes are shortened
)

// EdgeKind says which line of a voice moves.
type EdgeKind uint8

// The kinds of edge, in the order in which they act at one instant.
const (
	GateLow EdgeKind = iota
	Pitch
	Pressure
	GateHigh
)

// Edge is one change on one line of one voice.
type Edge struct {
	At    time.Duration
	Voice int // index
	Kind  EdgeKind
	// Starts: a CV that moves for the gate that opens next.
	Starts bool
	// Velocity and Key are those of the note; Key as it sounds, so it may lie
	// outside of 0–127.
	Velocity uint8
	Key      int16
	Note     alloc.NoteID
	// Position is the voice's place in the unison of the note, from 0.
	Position int16
	// Value is the pitch in semitones on the scale of MIDI keys, or the
	// pressure 0–127; 0 for gates.
	Value float64
	// Missed is how far a pitch lies from the pitch wanted, in cents: not 0
	// where the window clamps or folds it.
	Missed float64
	Glide  time.Duration // of Pitch: how long it takes to get there
}

// Stage turns the decisions of one run into edges.
type Stage struct {
	rules  Rules
	policy Policy
	voices []line
	record bool

	waiting []int32 // voices with edges; see Due
	due     Edge    // the one that is emitted
}

// line is what a stage knows of one voice.
type line struct {
	edges []Edge
	gate  int // the latest GateHigh among the edges
	note  alloc.NoteID
	on    time.Duration // gate high
	low   time.Duration // gate low before on
	off   time.Duration // gate low after on; only if !high
	high  bool          // the engine has not released it
	used  bool
	waits bool // it stands among the waiting
}

// New returns a stage for a number of voices. Without record it only tells how
// late notes are.
func New(r Rules, p Policy, voices int, record bool) *Stage {
	return &Stage{rules: r, policy: p, voices: make([]line, voices), record: record}
}

// Decide takes the next decision of a run and returns by how much the gate of
// a note that it starts will open late; 0 for an export.
func (s *Stage) Decide(d *alloc.Decision) (late time.Duration) {
	if d.Voice == int32(alloc.NoVoice) {
		return 0
	}
	v := &s.voices[d.Voice]
	switch d.Kind {
	case alloc.Take, alloc.Reattack:
		return s.start(v, d)
	case alloc.Release:
		s.release(v, d)
	case alloc.Bend, alloc.Slide:
		v.note = d.Note
		s.pitch(v, d, max(d.At, s.cvFrom(v)), false)
	case alloc.Pressure:
		s.pressure(v, d, max(d.At, s.cvFrom(v)), false)
	}
	return 0
}

func (s *Stage) start(v *line, d *alloc.Decision) time.Duration {
	on, low := d.At, never
	if v.used {
		low = s.endPrevious(v, d)
		if s.policy == Live {
			on = max(d.At, low+s.rules.Gap)
		}
	}
	cv := max(0, low, on-s.rules.Lead)
	if s.policy == Live {
		cv = max(cv, d.At)
	}
	v.leave(cv)
	s.pitch(v, d, cv, true)
	s.pressure(v, d, cv, true)
	at := len(v.edges)
	s.add(v, d, Edge{At: on, Kind: GateHigh})
	*v = line{edges: v.edges, waits: v.waits, gate: at, note: d.Note, on: on, low: low, high: true, used: true}
	return on - d.At
}

// never is long before every song.
const never = -time.Hour

// endPrevious ends what the voice played before and returns when its gate is
// low. A note that is cut at the instant at which it would start has no gate.
func (s *Stage) endPrevious(v *line, d *alloc.Decision) time.Duration {
	low := v.off
	if v.high {
		low = max(d.At, v.on+s.rules.MinGate)
	}
	if s.policy == Export {
		low = max(v.on, min(low, d.At-s.rules.Gap))
	}
	if low == v.on || v.high && v.on >= d.At {
		v.silence()
		return v.low
	}
	if v.high || s.policy == Export {
		s.gateLow(v, int(d.Voice), low)
	}
	return low
}

func (s *Stage) release(v *line, d *alloc.Decision) {
	v.high = false
	v.off = max(d.At, v.on+s.rules.MinGate)
	if s.policy == Live {
		s.gateLow(v, int(d.Voice), v.off)
	}
}

// cvFrom is when the voice's CV moves to its note.
func (s *Stage) cvFrom(v *line) time.Duration {
	if s.policy == Export {
		return 0
	}
	return v.on - s.rules.Lead
}

func (s *Stage) pitch(v *line, d *alloc.Decision, at time.Duration, starts bool) {
	s.add(v, d, Edge{At: at, Kind: Pitch, Starts: starts, Value: d.Pitch, Missed: d.Missed, Glide: d.Glide})
}

func (s *Stage) pressure(v *line, d *alloc.Decision, at time.Duration, starts bool) {
	s.add(v, d, Edge{At: at, Kind: Pressure, Starts: starts, Value: float64(d.Pressure)})
}

// add appends an edge about the note of a decision.
func (s *Stage) add(v *line, d *alloc.Decision, e Edge) {
	if s.record {
		e.Voice, e.Note, e.Key, e.Velocity, e.Position = int(d.Voice), d.Note, d.Key, d.Velocity, d.Position
		v.edges = append(v.edges, e)
		s.wait(d.Voice)
	}
}

// gateLow puts the end of a gate where it belongs: in an export before what
// the CVs did later.
func (s *Stage) gateLow(v *line, voice int, at time.Duration) {
	if !s.record {
		return
	}
	i := len(v.edges)
	for i > v.gate+1 && v.edges[i-1].At >= at {
		i--
	}
	v.edges = slices.Insert(v.edges, i, Edge{At: at, Voice: voice, Kind: GateLow, Note: v.note})
	s.wait(int32(voice))
}

// silence takes the gate of the voice's note away, which would have no length.
func (v *line) silence() {
	if from := max(v.gate, 0); from < len(v.edges) {
		rest := slices.DeleteFunc(v.edges[from:], func(e Edge) bool { return e.Kind == GateHigh || e.Kind == GateLow })
		v.edges = v.edges[:from+len(rest)]
	}
}

// leave takes away what the CVs would still do for the voice's last note once
// they have moved to the next.
func (v *line) leave(cv time.Duration) {
	for n := len(v.edges); n > 0; n-- {
		if e := &v.edges[n-1]; e.At <= cv || e.Kind == GateHigh || e.Kind == GateLow {
			break
		}
		v.edges = v.edges[:n-1]
	}
}

// Voices ends the run and returns the edges of each voice, by index, in the
// order of time. A gate that would have no length is left out. A stage can be
// ended once.
func (s *Stage) Voices() [][]Edge {
	all := make([][]Edge, len(s.voices))
	for i := range s.voices {
		v := &s.voices[i]
		if s.policy == Export && v.used && !v.high {
			s.gateLow(v, i, v.off)
		}
		slices.SortStableFunc(v.edges, func(a, b Edge) int { return cmp.Compare(a.At, b.At) })
		all[i] = v.edges
	}
	return all
}

// Edges ends the run in the same way and returns its edges in the order of
// time, then voice.
func (s *Stage) Edges() []Edge {
	all := slices.Concat(s.Voices()...)
	slices.SortStableFunc(all, func(a, b Edge) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Voice, b.Voice))
	})
	return all
}
