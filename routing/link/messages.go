package link

import (
	"math"
	"slices"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/timing"
	"choirloft/midi"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// What is sent.
//
// A voice has a channel of its own. It gets a note-on for each gate that opens,
// a note-on of velocity 0 for each that closes (so that running status may be
// used), and for a legato step of a mono part both, the new key first. What is
// left between the pitch wanted and the key, by detune or by a bend, is a pitch
// bend, sent where its 14 bits change: before the note by the rig's lead, and
// else when it happens. Pressure is sent to voices with a lane for it. A macro
// passes its controller on. Times are those of an export: what is taken from
// the past there costs nothing here.

// The status bytes, less the channel (MIDI 1.0, table I).
const (
	statusNoteOn   = 0x90
	statusControl  = 0xB0
	statusPressure = 0xD0
	statusBend     = 0xE0
)

// place is a port of an interface.
type place struct {
	box  int
	port midi.Port
}

// sender turns edges into messages.
type sender struct {
	p      *plan.Plan
	ref    *study.Reference
	voices []channel
	sent   map[place][]Message
}

// channel is what a sender knows of the channel of a voice.
type channel struct {
	outlet   *routing.Outlet // nil without a message
	pressed  bool            // it has a lane for pressure
	note     alloc.NoteID    // NoNote while the gate is low
	key      int
	pitch    float64
	bend     int // as it was last sent, 0 at rest
	pressure int
}

// newSender looks the channels of voices up on the map.
func newSender(p *plan.Plan, ref *study.Reference) *sender {
	s := &sender{p: p, ref: ref, voices: make([]channel, len(p.Map.Voices)), sent: map[place][]Message{}}
	for i := range s.voices {
		s.voices[i].note = alloc.NoNote
		v := &p.Map.Voices[i]
		for _, input := range []string{"gate", "pitch"} {
			if l := v.Lane(input); l != nil && l.Fits() && l.Addressed {
				s.voices[i].outlet = &l.Outlet
			}
		}
		l := v.Lane("pressure")
		s.voices[i].pressed = l != nil && l.Fits() && l.Addressed
	}
	return s
}

// send appends a message for the channel of an outlet.
func (s *sender) send(o *routing.Outlet, at time.Duration, status byte, size, mark int) {
	to := place{o.Interface, o.Port}
	s.sent[to] = append(s.sent[to], Message{at, status | byte(o.Channel), size, mark})
}

// edge sends what an edge of a voice asks for.
func (s *sender) edge(e *timing.Edge) {
	v := &s.voices[e.Voice]
	if v.outlet == nil {
		return
	}
	switch e.Kind {
	case timing.GateHigh:
		v.note = e.Note
		s.send(v.outlet, e.At, statusNoteOn, 3, int(e.Note))
	case timing.GateLow:
		v.note = alloc.NoNote
		s.send(v.outlet, e.At, statusNoteOn, 3, NoMark)
	case timing.Pressure:
		if value := int(e.Value); v.pressed && value != v.pressure {
			v.pressure = value
			s.send(v.outlet, e.At, statusPressure, 2, NoMark)
		}
	case timing.Pitch:
		s.pitch(v, e)
	}
}

// pitch moves the pitch of a voice: by a bend, by a legato step, or for a note
// that is about to begin.
func (s *sender) pitch(v *channel, e *timing.Edge) {
	sounding := v.note != alloc.NoNote
	if !sounding || e.Note != v.note {
		v.key = min(127, max(0, int(math.Round(e.Value))))
	}
	s.bend(v, e)
	if sounding && e.Note != v.note {
		v.note = e.Note
		s.send(v.outlet, e.At, statusNoteOn, 3, int(e.Note))
		s.send(v.outlet, e.At, statusNoteOn, 3, NoMark)
	}
}

// bend sends what is left between pitch and key, if it has changed. The channel
// of a voice is taken to have the bend range of the part, but not less than 2.
func (s *sender) bend(v *channel, e *timing.Edge) {
	reach := max(2, float64(s.p.Rules.Config.Parts[s.ref.Notes[e.Note].Part].BendRange))
	value := int(math.Round(min(1, max(-1, (e.Value-float64(v.key))/reach)) * 8192))
	if value != v.bend {
		v.bend = value
		s.send(v.outlet, e.At, statusBend, 3, NoMark)
	}
}

// macros passes the controllers of macros on.
func (s *sender) macros(steps []midi.Step) {
	for i := range s.p.Rig.Macros {
		m, l := &s.p.Rig.Macros[i], &s.p.Map.Macros[i]
		if !l.Fits() || !l.Addressed || !strings.HasPrefix(l.Message, "CC ") {
			continue
		}
		for j := range steps {
			x := &steps[j]
			if x.Kind == midi.StepControl && uint8(x.Key) == m.Controller && x.Channel == m.Channel && (m.AnyPort || x.Port == m.Port) {
				s.send(&l.Outlet, x.At, statusControl, 3, NoMark)
			}
		}
	}
}

// sorted puts the messages of each port in the order of time. Of one instant
// they keep the order in which they were sent.
func (s *sender) sorted() {
	for _, list := range s.sent {
		slices.SortStableFunc(list, func(a, b Message) int { return int(max(-1, min(1, a.At-b.At))) })
	}
}

// edges plays a song and returns what the lines of the voices do.
func edges(p *plan.Plan, given study.Performance, ref *study.Reference) ([]timing.Edge, error) {
	engine, err := alloc.New(p.Rules.Config)
	if err != nil {
		return nil, err
	}
	stage := timing.New(timing.Rules{Gap: p.Rules.Gap, MinGate: p.Rules.Config.MinGate, Lead: p.Rules.Lead},
		timing.Export, len(p.Rules.Config.Voices), true)
	see := func(d *alloc.Decision) { stage.Decide(d) }
	engine.Foresee(ref.Ends)
	for i := range given.Steps {
		engine.Feed(&given.Steps[i], see)
	}
	engine.Finish(given.End, see)
	return stage.Edges(), nil
}
