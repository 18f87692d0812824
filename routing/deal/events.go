package deal

import (
	"cmp"
	"slices"

	"choirloft/midi"
)

// bendCentre is the bend that does nothing.
const bendCentre = 8192

// plainRelease is the release velocity of a note-off that means nothing
// (MIDI 1.0, "Note Off"; from memory).
const plainRelease = 64

// Events returns the messages of a lane in the order of time, with a bend range
// in semitones. At one tick a note ends, then bend and pressure move, then a
// note begins. The note-ons are those of Notes, in their order.
func (l *Lane) Events(bendRange int) []midi.Event {
	all := make([]midi.Event, 0, 8+2*len(l.Notes)+len(l.Bends)+len(l.Pressures))
	add := func(tick midi.Tick, kind midi.Kind, data1, data2 uint8) {
		all = append(all, midi.Event{Tick: tick, Status: uint8(kind)<<4 | uint8(l.Home.Channel), Data1: data1, Data2: data2})
	}
	for _, c := range RangeSetting(bendRange) {
		add(0, midi.ControlChange, c[0], c[1])
	}
	bend := func(m Move) int { v, _ := BendValue(m.Value, bendRange); return int(v) }
	for _, m := range changes(l.Bends, bend, bendCentre, true) {
		add(m.tick, midi.PitchBend, uint8(m.value&0x7F), uint8(m.value>>7))
	}
	for _, m := range changes(l.Pressures, func(m Move) int { return int(m.Value) }, 0, false) {
		add(m.tick, midi.ChannelPressure, uint8(m.value), 0)
	}
	for _, n := range l.Notes {
		add(n.On, midi.NoteOn, uint8(n.Key), n.Velocity)
		add(n.Off, midi.NoteOff, uint8(n.Key), plainRelease)
	}
	slices.SortStableFunc(all, func(a, b midi.Event) int {
		return cmp.Or(cmp.Compare(a.Tick, b.Tick), rank(a)-rank(b))
	})
	return all
}

// RangeSetting are the controllers that set the bend range by RPN 0, and then
// select the null parameter, so that no stray data entry changes it (MIDI 1.0,
// table III; RP-018).
func RangeSetting(semitones int) [6][2]uint8 {
	return [...][2]uint8{{101, 0}, {100, 0}, {6, uint8(semitones)}, {38, 0}, {101, 127}, {100, 127}}
}

// rank is the place of a message among those at one tick.
func rank(e midi.Event) int {
	switch e.Kind() {
	case midi.NoteOff:
		return 0
	case midi.ControlChange:
		return 1
	case midi.PitchBend:
		return 2
	case midi.ChannelPressure:
		return 3
	}
	return 4
}

// change is a value from a tick on.
type change struct {
	tick  midi.Tick
	value int
}

// changes returns the moves that change something: of those at one tick the
// last, if it is not what there was. The first value is told at the start if
// said is set.
func changes(moves []Move, value func(Move) int, first int, said bool) []change {
	var all []change
	now := first
	if said {
		all, now = append(all, change{0, first}), first
	}
	for i, m := range moves {
		if i+1 < len(moves) && moves[i+1].Tick <= m.Tick {
			continue
		}
		v := value(m)
		switch {
		case v == now:
		case len(all) == 1 && said && m.Tick == 0:
			all[0].value, now = v, v
		default:
			all, now = append(all, change{m.Tick, v}), v
		}
	}
	return all
}
