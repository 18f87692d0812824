package profiles

import "strings"

func (x *resolver) resolveSetUps() {
	for _, e := range x.draft.setUps {
		d := &e.value
		s := SetUp{Name: e.key, Pos: e.pos, Pitches: d.pitches.value, Gates: d.gates.value,
			Through: d.through.value.through, Outs: d.through.value.outs}
		from, ok := x.source(&s, d.from)
		switch {
		case !ok:
		case from.what == inInterfaces:
			x.refuseSequencing(d)
		default:
			x.checkSetUpParts(from, d)
		}
		for _, p := range d.parts {
			s.Parts = append(s.Parts, SetUpPart{Part: p.key, Banks: x.banksOf(p.value), Pos: p.pos})
		}
		x.checkGroups(&s, d.pitches)
		x.rig.SetUps = append(x.rig.SetUps, s)
	}
}

// source finds what plays a set-up: one sequencer, or interfaces.
func (x *resolver) source(s *SetUp, names []spot[string]) (first thing, ok bool) {
	for i, name := range names {
		sections := []string{inInterfaces, inSequencers}
		if len(names) > 1 {
			sections = sections[:1]
		}
		t, found := x.find(name, sections...)
		switch {
		case !found:
			return first, false
		case i == 0:
			first, ok = t, true
			s.From, s.Sequenced = t.at, t.what == inSequencers
		default:
			s.Also = append(s.Also, t.at)
		}
	}
	return first, ok
}

// refuseSequencing complains of what only a sequencer has.
func (x *resolver) refuseSequencing(d *setUpDraft) {
	name := d.from[0].value
	for _, p := range d.parts {
		x.faultAt(p.pos, p.at, complain("%s is an interface and plays the parts of the rig, want no parts here", name).
			advise("leave parts out here: they are for a sequencer"))
	}
	for _, w := range []struct {
		key string
		pos Pos
		at  string
	}{{"pitches", d.pitches.pos, d.pitches.at}, {"gates", d.gates.pos, d.gates.at}, {"through", d.through.pos, d.through.at}} {
		if !w.pos.IsZero() {
			x.faultAt(w.pos, w.at, complain("%s is an interface and plays by the map, want no %s here", name, w.key).
				advise("how an interface reaches its inputs stands under wiring"))
		}
	}
}

// checkSetUpParts complains of parts that the sequencer of a set-up does not
// have, and of banks that two of them play.
func (x *resolver) checkSetUpParts(from thing, d *setUpDraft) {
	count, by := x.rig.Sequencers[from.at].Parts, map[string]int{}
	for _, p := range d.parts {
		if !from.broken && p.key > count {
			x.faultAt(p.pos, p.at, complain("no part %d, sequencer %s has parts 1 to %d", p.key, d.from[0].value, count))
		}
		for _, bank := range p.value {
			if other, ok := by[bank.value]; ok {
				x.faultAt(bank.pos, bank.at, complain("bank %s is played by part %d already, and an input is driven once", bank.value, other).
					advise("outputs are never joined: give each bank to one part"))
				continue
			}
			by[bank.value] = p.key
		}
	}
}

// checkGroups complains of a set-up that asks for common pitch jacks where
// there are none.
func (x *resolver) checkGroups(s *SetUp, asked spot[PitchWay]) {
	if asked.pos.IsZero() || s.Pitches != PitchGroup {
		return
	}
	var without []string
	for _, p := range s.Parts {
		for _, bank := range p.Banks {
			b := &x.rig.Banks[bank]
			if b.Kind >= 0 && x.rig.Kinds[b.Kind].GroupPitch == GroupNone { // a bank with faults has no kind
				without = append(without, b.Name)
			}
		}
	}
	if len(without) > 0 {
		x.faultAt(asked.pos, asked.at, complain("found group, and there is no common pitch jack on %s", strings.Join(without, ", ")).
			advise("write group_pitch under the kind of its voices, or pitches: multiples"))
	}
}
