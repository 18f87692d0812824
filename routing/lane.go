package routing

import (
	"slices"

	"choirloft/midi"
	"choirloft/profiles"
)

// Lane is one signal that needs a jack: an input of one voice, an input of a
// whole bank, a macro, or what the rig wires without any of these.
type Lane struct {
	Name  string // as a rig writes it: K1.pitch, K.cutoff, bite
	Input string // empty for a macro
	Bank  int    // index into Rig.Banks; −1 for a macro, and for what is only wired
	Voice int    // index into Rig.Voices; −1 for what is shared
	Macro int    // index into Rig.Macros, or −1
	Wire  int    // index into Rig.Wiring of the wire that carries it, or −1
	Gate  bool   // it wants a gate jack, else a CV
	Outlet
}

// Outlet is the jack that a lane comes out of, and the message that moves it.
type Outlet struct {
	// Interface is an index into Rig.Interfaces, −1 where the lane does not fit:
	// the numbers of the jack are 0 then.
	Interface int
	GateJack  bool // it is a gate jack, else a CV
	Jack      int  // from 1
	Connector int  // from 1
	Place     int  // on the connector, from 1
	Pinned    bool // the rig holds it there, by a pin or a wire

	// Message is what moves it: note, velocity, pressure, CC 20, or audio 3 for
	// a channel of an audio interface; empty where there is none.
	Message   string
	Addressed bool // Port and Channel mean something
	Port      midi.Port
	Channel   midi.Channel
}

// Fits tells whether the lane has a jack.
func (o *Outlet) Fits() bool { return o.Interface >= 0 }

// sameJack tells whether two lanes come out of one jack. The outputs of an
// interface that give either have one number, whatever they give.
func (o *Outlet) sameJack(other *Outlet, rig *profiles.Rig) bool {
	return o.Fits() && o.Interface == other.Interface && o.Jack == other.Jack &&
		(o.GateJack == other.GateJack || rig.Interfaces[o.Interface].Outputs > 0)
}

// The inputs that mean something here.
const (
	pitchInput    = "pitch"
	gateInput     = "gate"
	velocityInput = "velocity"
	pressureInput = "pressure"
)

// core tells whether it is the pitch or the gate of a voice, which belong on
// one interface.
func (l *Lane) core() bool {
	return l.Voice >= 0 && (l.Input == pitchInput || l.Input == gateInput)
}

// onlyWired tells whether a wire is all there is of it.
func (l *Lane) onlyWired() bool { return l.Bank < 0 && l.Macro < 0 }

func newLane(name, input string) *Lane {
	return &Lane{Name: name, Input: input, Bank: -1, Voice: -1, Macro: -1, Wire: -1,
		Gate: input == gateInput, Outlet: Outlet{Interface: -1}}
}

// lanesOf are all lanes of a rig.
type lanesOf struct {
	voices [][]*Lane // by voice
	banks  [][]*Lane // shared ones, by bank
	wires  []*Lane   // carried by a wire, and nothing else of the rig
	macros []*Lane
}

// wishes lists what the rig asks for.
func wishes(rig *profiles.Rig) *lanesOf {
	all := &lanesOf{voices: make([][]*Lane, len(rig.Voices)), banks: make([][]*Lane, len(rig.Banks))}
	for i, v := range rig.Voices {
		for _, input := range rig.Kinds[rig.Banks[v.Bank].Kind].Inputs {
			l := newLane(v.Name+"."+input, input)
			l.Voice, l.Bank = i, v.Bank
			all.voices[i] = append(all.voices[i], l)
		}
	}
	for i, b := range rig.Banks {
		for _, input := range b.Lanes {
			l := newLane(b.Name+"."+input, input)
			l.Bank = i
			all.banks[i] = append(all.banks[i], l)
		}
	}
	for i, m := range rig.Macros {
		l := newLane(m.Name, "")
		l.Macro = i
		all.macros = append(all.macros, l)
	}
	return all
}

// each visits all lanes: voices, banks, wires, macros, each in file order.
func (all *lanesOf) each(visit func(*Lane)) {
	for _, groups := range [][][]*Lane{all.voices, all.banks, {all.wires}, {all.macros}} {
		for _, group := range groups {
			for _, l := range group {
				visit(l)
			}
		}
	}
}

// missing lists the lanes without a jack.
func (all *lanesOf) missing() (lanes []*Lane) {
	all.each(func(l *Lane) {
		if !l.Fits() {
			lanes = append(lanes, l)
		}
	})
	return lanes
}

// at finds the lane that a pin means, or nil.
func (all *lanesOf) at(p *profiles.Pin) *Lane {
	group := all.banks[p.To.Bank]
	switch {
	case p.Macro >= 0:
		return all.macros[p.Macro]
	case p.To.Voice >= 0:
		group = all.voices[p.To.Voice]
	}
	if i := slices.IndexFunc(group, func(l *Lane) bool { return l.Input == p.To.Input }); i >= 0 {
		return group[i]
	}
	return nil
}

// targetName writes a target as a rig does.
func targetName(rig *profiles.Rig, t profiles.Target) string {
	if t.Voice >= 0 {
		return rig.Voices[t.Voice].Name + "." + t.Input
	}
	return rig.Banks[t.Bank].Name + "." + t.Input
}

// laneNames are the names of lanes.
func laneNames(lanes []*Lane) []string {
	names := make([]string, len(lanes))
	for i, l := range lanes {
		names[i] = l.Name
	}
	return names
}
