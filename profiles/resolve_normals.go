package profiles

import "slices"

// Wires behind the panels, and the plugs that open them.

// checkNormal complains of a wire that cannot be one behind the panels.
func (p *patcher) checkNormal(w *spot[wireDraft]) {
	bad := func(what string) {
		p.faultAt(w.value.normal.pos, w.value.normal.at, complain("normal is %s on a wire %s, want it from a jack straight to inputs", w.value.normal.value, what))
	}
	switch {
	case w.value.from.value.number == 0:
		bad("from a module")
	case w.value.through.through != Direct:
		bad("through a multiple")
	case slices.ContainsFunc(w.value.to, func(t spot[targetName]) bool { return t.value.input == "" }):
		bad("to a module")
	}
}

// openNormals takes away what plugs open: a plug is an end of another wire, or a pin.
func (x *resolver) openNormals() {
	if len(x.faults) > 0 {
		return // wires may lead nowhere
	}
	for i := range x.rig.Wiring {
		w := &x.rig.Wiring[i]
		if w.Normal == NoNormal {
			continue
		}
		w.AtJack = w.Normal == FullNormal && x.rig.plugged(w)
		var left []Target
		for _, t := range w.To {
			for _, end := range x.rig.Ends(t) {
				end.Via, end.Pos = t.Via, t.Pos
				if w.AtJack || x.rig.hasPlug(w.From, end) {
					w.Opened = append(w.Opened, end)
				} else {
					left = append(left, end)
				}
			}
		}
		w.To = left
	}
}

// plugged tells whether a plug is in the jack that a wire behind the panels comes from.
func (r *Rig) plugged(w *Wire) bool {
	leads := func(t Target) bool {
		return slices.ContainsFunc(w.To, func(own Target) bool { return slices.ContainsFunc(r.Ends(own), sameEnd(t)) })
	}
	return slices.ContainsFunc(r.Wiring, func(other Wire) bool { return other.Normal == NoNormal && sameJack(other.From, w.From) }) ||
		slices.ContainsFunc(r.Pins, func(p Pin) bool {
			return sameJack(p.Jack, w.From) && (p.Macro >= 0 || !slices.ContainsFunc(r.Ends(p.To), leads))
		})
}

// hasPlug tells whether a plug from another jack is in an input.
func (r *Rig) hasPlug(from Jack, end Target) bool {
	is := sameEnd(end)
	in := func(to []Target) bool {
		return slices.ContainsFunc(to, func(t Target) bool { return slices.ContainsFunc(r.Ends(t), is) })
	}
	return slices.ContainsFunc(r.Wiring, func(w Wire) bool { return w.Normal == NoNormal && in(w.To) }) ||
		slices.ContainsFunc(r.Pins, func(p Pin) bool { return p.Macro < 0 && !sameJack(p.Jack, from) && in([]Target{p.To}) })
}

func sameJack(a, b Jack) bool {
	return a.Interface == b.Interface && a.Gate == b.Gate && a.Number == b.Number
}

// sameEnd tells which inputs are one.
func sameEnd(a Target) func(b Target) bool {
	return func(b Target) bool { return a.Bank == b.Bank && a.Voice == b.Voice && a.Input == b.Input }
}

// Ends lists the jacks that a target stands for: K.pitch is the common pitch jack of the bank
// where its kind has one, and otherwise those of all its voices; K.gate those of all its
// voices; any other input of a bank is one jack on its panel.
func (r *Rig) Ends(t Target) (all []Target) {
	b := &r.Banks[t.Bank]
	group := t.Input == "pitch" && r.Kinds[b.Kind].GroupPitch != GroupNone
	if t.Voice >= 0 || group || t.Input != "pitch" && t.Input != "gate" {
		return []Target{t}
	}
	for i := b.First; i < b.First+b.Size; i++ {
		all = append(all, Target{Bank: t.Bank, Voice: i, Input: t.Input})
	}
	return all
}
