package setups

import (
	"slices"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
)

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
