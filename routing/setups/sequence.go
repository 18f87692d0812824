package setups

import (
	"fmt"
	"slices"

	"choirloft/midi"
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

// pull lists what must not stay plugged beside a common pitch jack: where it is
// normalled, and where it sums and an interface cannot rest at 0 V.
func (q *sequencing) pull(s *profiles.SetUp) {
	for _, part := range s.Parts {
		for _, bank := range part.Banks {
			kind := q.group(bank)
			if kind == profiles.GroupSwitched {
				q.patch.Group = append(q.patch.Group, bank)
			}
			if kind == profiles.GroupNormal || kind == profiles.GroupSums && !q.restful(bank) {
				for _, t := range q.each(bank, "pitch") {
					q.pulled[routing.Input{Bank: bank, Voice: t.Voice, Input: "pitch"}] = true
				}
			}
		}
	}
}

// restful tells whether the interfaces of a bank's voices can give 0 V.
func (q *sequencing) restful(bank int) bool {
	b := &q.rig.Banks[bank]
	for i := b.First; i < b.First+b.Size; i++ {
		if at := q.base.Voices[i].Interface; at >= 0 {
			if w := q.rig.Interfaces[at].Window; w.Low > 0 || w.High < 0 {
				return false
			}
		}
	}
	return true
}

func (q *sequencing) taken(in routing.Input) bool { return q.driven[in] || q.pulled[in] }

// strip takes out of banks and macros what leads to inputs that the sequencer
// takes or that must be free.
func (q *sequencing) strip() {
	q.rig.Banks, q.rig.Kinds = slices.Clone(q.rig.Banks), slices.Clone(q.rig.Kinds)
	q.rig.Macros = slices.Clone(q.rig.Macros)
	for i := range q.rig.Banks {
		b := &q.rig.Banks[i]
		b.Lanes = slices.DeleteFunc(slices.Clone(b.Lanes), func(input string) bool {
			return slices.ContainsFunc(routing.InputsOf(q.rig, profiles.Target{Bank: i, Voice: -1, Input: input}), q.taken)
		})
		if q.pulled[routing.Input{Bank: i, Voice: b.First, Input: "pitch"}] {
			kind := q.rig.Kinds[b.Kind]
			kind.Inputs = slices.DeleteFunc(slices.Clone(kind.Inputs), func(input string) bool { return input == "pitch" })
			b.Kind = len(q.rig.Kinds)
			q.rig.Kinds = append(q.rig.Kinds, kind)
		}
	}
	for i := range q.rig.Macros {
		q.rig.Macros[i].To = q.less(q.rig.Macros[i].To)
	}
}

// kept are the wires of the rig without what the sequencer takes; dropped tells
// of which nothing is left.
func (q *sequencing) kept(wires []profiles.Wire) (kept []profiles.Wire, dropped map[int]bool) {
	dropped = map[int]bool{}
	for i, w := range wires {
		before := q.count(w.To)
		if w.To = q.less(w.To); len(w.To) == 0 {
			dropped[i] = true
			continue
		}
		if before > 1 && w.Through == profiles.Direct {
			w.Through = profiles.Passive // and stays it, however few are left
		}
		kept = append(kept, w)
		q.patch.wires = append(q.patch.wires, origin{where: wirePath(i), pos: w.Pos})
	}
	return kept, dropped
}

// count is how many jacks targets stand for.
func (q *sequencing) count(targets []profiles.Target) (n int) {
	for _, t := range targets {
		n += len(routing.InputsOf(q.rig, t))
	}
	return n
}

// less are targets without the inputs that are taken.
func (q *sequencing) less(targets []profiles.Target) (left []profiles.Target) {
	for _, t := range targets {
		ends := routing.InputsOf(q.rig, t)
		free := slices.DeleteFunc(slices.Clone(ends), q.taken)
		if len(free) == len(ends) {
			left = append(left, t)
			continue
		}
		for _, in := range free {
			left = append(left, profiles.Target{Bank: in.Bank, Voice: in.Voice, Input: in.Input, Via: t.Via, Pos: t.Pos})
		}
	}
	return left
}

// pins hold every lane that stays on the jack that the map gives it, but for
// those that a wire holds there.
func (q *sequencing) pins(dropped map[int]bool) (pins []profiles.Pin) {
	for _, l := range q.base.Lanes() {
		if !l.Fits() || l.Wire >= 0 && !dropped[l.Wire] || l.Bank < 0 && l.Macro < 0 {
			continue
		}
		pin := profiles.Pin{Macro: l.Macro, Jack: profiles.Jack{Interface: l.Interface, Gate: l.GateJack, Number: l.Jack}}
		if l.Macro < 0 {
			pin.To = profiles.Target{Bank: l.Bank, Voice: l.Voice, Input: l.Input}
			if slices.ContainsFunc(q.base.EndsOf(l), q.taken) {
				continue
			}
		}
		pins = append(pins, pin)
	}
	return pins
}

// rests lists what has to be held: the voices' own pitches beside a common jack
// that sums, at 0 V, and own gates beside that of a gate-OR, low.
func (q *sequencing) rests(s *profiles.SetUp) {
	held := map[routing.Input]bool{}
	for _, part := range s.Parts {
		for _, bank := range part.Banks {
			if q.group(bank) == profiles.GroupSums {
				for _, t := range q.each(bank, "pitch") {
					held[routing.Input{Bank: bank, Voice: t.Voice, Input: "pitch"}] = true
				}
			}
			if q.patch.Way.Gates == profiles.GateOr {
				for _, t := range q.each(bank, "gate") {
					held[routing.Input{Bank: bank, Voice: t.Voice, Input: "gate"}] = true
				}
			}
		}
	}
	for i := range q.patch.nets {
		n := &q.patch.nets[i]
		var names []string
		gate := false
		for _, in := range n.Inputs() {
			if held[in] && n.Interface != q.box {
				names, gate = append(names, in.Name(q.rig)), in.Input == "gate"
			}
		}
		if len(names) > 0 {
			q.patch.Rests = append(q.patch.Rests, Rest{Jack: outlet(q.rig, n), Inputs: names, Gate: gate, Key: q.zeroKey(n.Interface, gate)})
		}
	}
}

// zeroKey is the key for which an interface gives 0 V.
func (q *sequencing) zeroKey(box int, gate bool) *midi.Key {
	f := &q.rig.Interfaces[box]
	if gate || f.Scale.HertzPerVolt() {
		return nil
	}
	key := midi.Key(f.ZeroKey)
	return &key
}
