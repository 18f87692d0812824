package deal

import (
	"choirloft/midi"
)

// Macro is what one macro of the rig does in the song.
type Macro struct {
	Macro  int // index into Rig.Macros
	Home   Home
	Events []midi.Event // control changes, at the ticks of what is written
}

// macros copies the controllers of the rig's macros to where the map has them.
// A macro without a MIDI address is left out.
func (d *Deal) macros() []Macro {
	var all []Macro
	for i := range d.Plan.Map.Macros {
		lane := &d.Plan.Map.Macros[i]
		home, ok := HomeOf(d.Plan.Rig, &lane.Outlet)
		if !ok {
			continue
		}
		from := &d.Plan.Rig.Macros[lane.Macro]
		m := Macro{Macro: lane.Macro, Home: home}
		for _, e := range d.Song.Events {
			if e.Kind() == midi.ControlChange && e.Data1 == from.Controller && e.Channel() == from.Channel &&
				(from.AnyPort || e.Port == from.Port) {
				m.Events = append(m.Events, midi.Event{Tick: e.Tick * midi.Tick(d.Factor), Data1: e.Data1, Data2: e.Data2,
					Status: uint8(midi.ControlChange)<<4 | uint8(home.Channel)})
			}
		}
		all = append(all, m)
	}
	return all
}
