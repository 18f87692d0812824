package deal

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"choirloft/midi"
	"choirloft/routing"
)

// Control is a track beside those of the voices: a macro, a velocity or a
// pressure that a controller moves, for a voice or for a bank, or a gate that is
// on another interface than its voice's pitch.
type Control struct {
	Name   string
	Macro  bool
	Banks  []int // that it moves something of
	Home   Home
	Events []midi.Event // in the order of ticks; at least one
}

// controls lists the tracks of a pass beside those of its voices: macros in
// file order, then what belongs to voices, then to banks.
func (d *Deal) controls(p *Pass) []Control {
	all := d.macros()
	for i := range p.Lanes {
		v := &d.Plan.Map.Voices[p.Lanes[i].Voice]
		for j := range v.Lanes {
			all = append(all, d.control(&v.Lanes[j], p.Lanes[i:i+1]))
		}
	}
	for i := range d.Plan.Map.Shared {
		s := &d.Plan.Map.Shared[i]
		var of []Lane
		for _, l := range p.Lanes {
			if d.Plan.Rig.Voices[l.Voice].Bank == s.Bank {
				of = append(of, l)
			}
		}
		all = append(all, d.control(s, of))
	}
	return slices.DeleteFunc(all, func(c Control) bool { return len(c.Events) == 0 })
}

// macros copies the controllers of the rig's macros to where the map has them.
func (d *Deal) macros() (all []Control) {
	for i := range d.Plan.Map.Macros {
		lane := &d.Plan.Map.Macros[i]
		home, ok := HomeOf(d.Plan.Rig, &lane.Outlet)
		if !ok {
			continue
		}
		from := &d.Plan.Rig.Macros[lane.Macro]
		c := Control{Name: from.Name, Macro: true, Home: home}
		for _, to := range from.To {
			c.Banks = append(c.Banks, to.Bank)
		}
		for _, e := range d.Song.Events {
			if e.Kind() == midi.ControlChange && e.Data1 == from.Controller && e.Channel() == from.Channel && (from.AnyPort || e.Port == from.Port) {
				c.add(e.Tick*midi.Tick(d.Factor), midi.ControlChange, e.Data1, e.Data2)
			}
		}
		all = append(all, c)
	}
	return all
}

// control is what a lane of the map gets from what its voices play, where the
// notes themselves do not say it.
func (d *Deal) control(lane *routing.Lane, of []Lane) Control {
	home, ok := HomeOf(d.Plan.Rig, &lane.Outlet)
	c := Control{Name: lane.Name, Banks: []int{lane.Bank}, Home: home}
	number, moved := strings.CutPrefix(lane.Message, "CC ")
	cc, err := strconv.Atoi(number)
	switch {
	case !ok:
	case lane.Voice >= 0 && lane.Input == "gate" && home != of[0].Home:
		for _, n := range of[0].Notes {
			c.add(n.On, midi.NoteOn, uint8(n.Key), n.Velocity)
			c.add(n.Off, midi.NoteOff, uint8(n.Key), plainRelease)
		}
	case !moved || err != nil:
	case lane.Input == "velocity":
		for _, l := range of {
			for _, n := range l.Notes {
				c.add(n.On, midi.ControlChange, uint8(cc), n.Velocity)
			}
		}
	case lane.Input == "pressure":
		for _, l := range of {
			for _, m := range l.Pressures {
				c.add(m.Tick, midi.ControlChange, uint8(cc), uint8(m.Value))
			}
		}
	}
	slices.SortStableFunc(c.Events, func(a, b midi.Event) int { return cmp.Compare(a.Tick, b.Tick) })
	return c
}

func (c *Control) add(tick midi.Tick, kind midi.Kind, data1, data2 uint8) {
	c.Events = append(c.Events, midi.Event{Tick: tick, Status: uint8(kind)<<4 | uint8(c.Home.Channel), Data1: data1, Data2: data2})
}
