package setups

import (
	"fmt"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
)

// sequence patches a sequencer: the rig gets it as a further interface, wires
// from it, and pins that leave everything else where the map has it.
func (p *Patch) sequence(m *routing.Map, s *profiles.SetUp) {
	q := &sequencing{patch: p, base: m, rig: m.Rig.WithSequencer(s.From),
		driven: map[routing.Input]bool{}, pulled: map[routing.Input]bool{}}
	q.box = len(q.rig.Interfaces) - 1
	wires := q.wires(s)
	q.pull(s)
	q.strip()
	kept, dropped := q.kept(m.Rig.Wiring)
	kept = append(kept, q.reduced(s)...)
	for _, w := range wires {
		p.wires = append(p.wires, origin{where: fmt.Sprintf("set_ups.%s.parts.%d", s.Name, w.From.Number), pos: w.Pos, own: true})
	}
	q.rig.Wiring = append(slices.Clone(kept), wires...)
	q.rig.Pins = q.pins(dropped)
	p.Map = routing.NewMap(q.rig)
	p.nets = q.nets(len(kept))
	q.rests(s)
}

// reduced are multiples that the rig does not wire and of which something is
// left: they stay multiples, so that nothing else has to be moved.
func (q *sequencing) reduced(s *profiles.SetUp) (wires []profiles.Wire) {
	for i := range q.base.Nets {
		n := &q.base.Nets[i]
		for _, b := range n.Branches {
			if b.Wire >= 0 || b.Through != profiles.Passive || !slices.ContainsFunc(b.Inputs, q.taken) {
				continue
			}
			w := profiles.Wire{Pos: s.Pos, From: profiles.Jack{Interface: n.Interface, Gate: n.GateJack, Number: n.Jack},
				Through: profiles.Passive, CalibratedWith: n.Calibrated}
			for _, in := range b.Inputs {
				if !q.taken(in) {
					w.To = append(w.To, profiles.Target{Bank: in.Bank, Voice: in.Voice, Input: in.Input})
				}
			}
			if len(w.To) > 0 {
				wires = append(wires, w)
				q.patch.wires = append(q.patch.wires, origin{where: "set_ups." + s.Name, pos: s.Pos})
			}
		}
	}
	return wires
}

// nets are those of the patch. What has no jack on the map must not end up on
// the sequencer, whose wires come after the first ones, nor on jacks that are
// free now.
func (q *sequencing) nets(first int) (nets []routing.Net) {
	missing := map[string]bool{}
	for i := range q.base.Missing {
		missing[q.base.Missing[i].Name] = true
	}
	for _, n := range q.patch.Map.Nets {
		if n.Interface != q.box && !slices.ContainsFunc(n.Lanes, func(name string) bool { return !missing[name] }) {
			continue
		}
		if n.Interface == q.box {
			n.Branches = slices.DeleteFunc(slices.Clone(n.Branches), func(b routing.Branch) bool { return b.Wire < first })
		}
		if len(n.Branches) > 0 {
			nets = append(nets, n)
		}
	}
	return nets
}

// sequencing is a sequencer being patched.
type sequencing struct {
	patch  *Patch
	base   *routing.Map
	rig    *profiles.Rig
	box    int                    // the sequencer among the interfaces
	driven map[routing.Input]bool // inputs that it takes
	pulled map[routing.Input]bool // further inputs that nothing may lead to
}

// wires lead from the jacks of the parts to what they play.
func (q *sequencing) wires(s *profiles.SetUp) (wires []profiles.Wire) {
	for _, part := range s.Parts {
		var pitches, gates []profiles.Target
		for _, bank := range part.Banks {
			pitches = append(pitches, q.pitches(bank)...)
			if q.patch.Way.Gates == profiles.GateOr {
				q.patch.ors = append(q.patch.ors, or{bank, part.Part})
				continue
			}
			gates = append(gates, q.each(bank, "gate")...)
		}
		wires = append(wires, q.wire(part, false, pitches)...)
		wires = append(wires, q.wire(part, true, gates)...)
	}
	return wires
}

// pitches are the jacks by which a bank gets its pitch.
func (q *sequencing) pitches(bank int) []profiles.Target {
	if q.group(bank) == profiles.GroupNone {
		return q.each(bank, "pitch")
	}
	return []profiles.Target{{Bank: bank, Voice: -1, Input: "pitch"}}
}

// group is the common pitch jack that a bank is played by, if it is.
func (q *sequencing) group(bank int) profiles.GroupPitch {
	if q.patch.Way.Pitches != profiles.PitchGroup {
		return profiles.GroupNone
	}
	return q.rig.Kinds[q.rig.Banks[bank].Kind].GroupPitch
}

// each lists the jacks of all voices of a bank.
func (q *sequencing) each(bank int, input string) (all []profiles.Target) {
	b := &q.rig.Banks[bank]
	for i := b.First; i < b.First+b.Size; i++ {
		all = append(all, profiles.Target{Bank: bank, Voice: i, Input: input})
	}
	return all
}

// wire is the wire from a jack of a part, if it leads anywhere.
func (q *sequencing) wire(part profiles.SetUpPart, gate bool, to []profiles.Target) []profiles.Wire {
	if len(to) == 0 {
		return nil
	}
	for _, t := range to {
		for _, in := range routing.InputsOf(q.rig, t) {
			q.driven[in] = true
		}
	}
	w := profiles.Wire{Pos: part.Pos, From: profiles.Jack{Interface: q.box, Gate: gate, Number: part.Part, Pos: part.Pos}, To: to, CalibratedWith: 1}
	if len(to) > 1 {
		w.Through, w.Outs = q.patch.Way.Through, q.patch.Way.Outs
	}
	return []profiles.Wire{w}
}
