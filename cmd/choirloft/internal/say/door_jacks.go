package say

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// DoorJacks are jacks of one kind on an interface that are plugged.
type DoorJacks struct {
	Box          string // the interface; empty where there is one only
	Kind, Signal string // cv, gt or out; pitch, gate, shared
	Runs         []DoorRun
}

// DoorRun is jacks in a row that serve voices in a row, or one jack alone.
type DoorRun struct {
	Numbers []string
	Out     []bool   // of each: its voice is out
	Names   []string // of the voices
	heads   []string // as the map has them
	Label   string
	Bank    string // of the voices; empty of a shared jack
	Signal  string // of a shared jack
	Moves   string // the same in full, where there is more to say: macro: K+L resonance
}

// DoorConnector is a connector with a cable in it, and all its jacks in their places.
type DoorConnector struct {
	Box, Kind string // as in [DoorJacks]
	Number    int    // from 1
	Places    int    // that a whole connector has
	Jacks     []DoorSocket
}

// DoorSocket is a jack in its place.
type DoorSocket struct {
	Number                     string
	Free                       bool // nothing is plugged, and all else is empty
	Out                        bool
	Label, Bank, Signal, Moves string // as in [DoorRun]
}

// throughModule stands behind voices whose jack does not lead to them directly.
const throughModule = "*"

// doorSignals order the jacks of an interface on the door.
var doorSignals = map[string]int{"pitch": 0, "gate": 1, "shared": 2}

// doorKinds are what jacks are called on the door.
var doorKinds = map[string]string{"cv": "cv", "gate": "gt", "output": "out"}

// doorJacks adds the jacks of an interface: those in a row that serve voices in a row
// together, each in its place, and which are free in words.
func (c *chart) doorJacks(d *Door, box int, p *Panel) {
	name, from := "", len(d.Jacks)
	if len(c.Interfaces) > 1 {
		name = c.Interfaces[box].Name
	}
	groups := map[[2]string]int{}
	for i := range p.Connectors {
		x := &p.Connectors[i]
		if x.Free() {
			continue
		}
		d.Connectors = append(d.Connectors, DoorConnector{Box: name, Kind: doorKinds[x.Kind], Number: x.Connector, Places: c.Interfaces[box].PerConnector})
		for j := range x.Sockets {
			s := &x.Sockets[j]
			last := &d.Connectors[len(d.Connectors)-1]
			last.Jacks = append(last.Jacks, c.doorSocket(s))
			if s.Free {
				continue
			}
			key := [2]string{s.Kind, c.doorSignal(s)}
			if _, ok := groups[key]; !ok {
				groups[key] = len(d.Jacks)
				d.Jacks = append(d.Jacks, DoorJacks{Box: name, Kind: doorKinds[s.Kind], Signal: key[1]})
			}
			at := &d.Jacks[groups[key]]
			at.Runs = c.run(at.Runs, s, j == 0)
		}
	}
	slices.SortStableFunc(d.Jacks[from:], func(a, b DoorJacks) int { return doorSignals[a.Signal] - doorSignals[b.Signal] })
	d.freeJacks(name, p)
}

// freeJacks says which jacks of an interface are free.
func (d *Door) freeJacks(box string, p *Panel) {
	free := map[string][]int{}
	for i := range p.Connectors {
		for j := range p.Connectors[i].Sockets {
			if s := &p.Connectors[i].Sockets[j]; s.Free {
				free[s.Kind] = append(free[s.Kind], s.Jack)
			}
		}
	}
	for _, kind := range []string{"cv", "gate", "output"} {
		if len(free[kind]) > 0 {
			d.Free = append(d.Free, strings.TrimSpace(box+" "+doorKinds[kind]+" "+strings.Join(unit.Runs(free[kind]), ", ")+" free"))
		}
	}
}

// doorSignal is pitch or gate of a voice by itself, else shared.
func (c *chart) doorSignal(s *Socket) string {
	if c.voiceOf[s.Head] == nil || s.Signal != "pitch" && s.Signal != "gate" {
		return "shared"
	}
	return s.Signal
}

// doorSocket is what a jack serves, in its place.
func (c *chart) doorSocket(s *Socket) DoorSocket {
	x := DoorSocket{Number: strconv.Itoa(s.Jack), Free: s.Free}
	if s.Free {
		return x
	}
	if c.doorSignal(s) == "shared" {
		x.Label, x.Signal, x.Moves = cmp.Or(s.To, s.Head), s.Signal, s.Moves
		return x
	}
	v := c.voiceOf[s.Head]
	x.Label, x.Bank, x.Out = c.nameAtJack(v, s), v.Bank, v.State == "out"
	return x
}

// nameAtJack is the name of a voice, with a star where its jack leads through a module.
func (c *chart) nameAtJack(v *contract.MapVoice, s *Socket) string {
	if c.modules(v.Name+"."+s.Signal) != "" {
		return v.Name + throughModule
	}
	return v.Name
}

// run adds a jack to the last run, if its voice comes next in the same bank, or begins one.
func (c *chart) run(runs []DoorRun, s *Socket, begins bool) []DoorRun {
	x := c.doorSocket(s)
	one := DoorRun{Numbers: []string{x.Number}, Out: []bool{x.Out}, heads: []string{s.Head}, Label: x.Label, Bank: x.Bank, Signal: x.Signal, Moves: x.Moves}
	if x.Signal != "" {
		return append(runs, one)
	}
	one.Names = []string{x.Label}
	if n := len(runs); n > 0 && !begins {
		last, v := &runs[n-1], c.voiceOf[s.Head]
		before := c.voiceOf[last.heads[len(last.heads)-1]]
		if before != nil && before.Bank == v.Bank && before.Position+1 == v.Position {
			last.Numbers, last.Out = append(last.Numbers, x.Number), append(last.Out, x.Out)
			last.Names, last.heads = append(last.Names, x.Label), append(last.heads, s.Head)
			last.Label = last.Names[0] + " – " + x.Label
			return runs
		}
	}
	return append(runs, one)
}

// Title names a connector by the jacks that it has: 17-24.
func (c *DoorConnector) Title() string {
	return c.Jacks[0].Number + "-" + c.Jacks[len(c.Jacks)-1].Number
}
