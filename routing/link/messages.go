package link

import (
	"slices"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/deal"
)

// What is sent is what the song is dealt as (routing/deal), track by track:
// notes, bends where they change, pressure, controllers of macros. The
// messages that set bend ranges and first bends, at the very start, are apart.

// place is a port of an interface.
type place struct {
	box  int
	port midi.Port
}

// placeOf is where messages go. A file counts the ports of all interfaces
// through.
func placeOf(rig *profiles.Rig, h deal.Home) place {
	port := h.Port
	for i := range h.Interface {
		port -= midi.Port(rig.Interfaces[i].Ports)
	}
	return place{h.Interface, port}
}

// sender collects messages by port.
type sender struct {
	d     *deal.Deal
	sent  map[place][]Message
	setUp map[place][]Message
}

// send collects what a deal sends.
func send(d *deal.Deal) *sender {
	s := &sender{d: d, sent: map[place][]Message{}, setUp: map[place][]Message{}}
	for i := range d.Passes[0].Lanes {
		l := &d.Passes[0].Lanes[i]
		s.track(placeOf(d.Plan.Rig, l.Home), l.Events(d.BendRange), l.Notes, true)
	}
	for i := range d.Passes[0].Controls {
		c := &d.Passes[0].Controls[i]
		s.track(placeOf(d.Plan.Rig, c.Home), c.Events, nil, false)
	}
	for _, list := range s.sent {
		slices.SortStableFunc(list, func(a, b Message) int { return int(max(-1, min(1, a.At-b.At))) })
	}
	return s
}

// track sends the events of a track in their order. Of a lane, what stands at
// the start before its first note sets it up.
func (s *sender) track(to place, events []midi.Event, notes []deal.Note, lane bool) {
	cursor := s.d.Tempo.Cursor()
	begun := !lane
	for _, e := range events {
		m := Message{At: cursor.At(e.Tick), Status: e.Status, Size: 3, Mark: NoMark}
		switch e.Kind() {
		case midi.ChannelPressure, midi.ProgramChange:
			m.Size = 2
		case midi.NoteOn:
			begun = true
			m.Mark, notes = int(notes[0].ID), notes[1:]
		}
		if begun || e.Tick > 0 {
			s.sent[to] = append(s.sent[to], m)
		} else {
			s.setUp[to] = append(s.setUp[to], m)
		}
	}
}
