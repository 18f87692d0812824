package growth

import (
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
)

// Further returns the rig with one bank more, like the one at an index, on which the given parts
// play besides: see [profiles.Rig.GrownLike]. What moves that bank and others from one jack
// moves the new one too: controls by wires and modules, macros, and the parts of sequencers in
// set-ups. Where a multiple on the way has no output left, there is one more behind it, as gear.
//
// By hand are the inputs of the new bank, as a rig writes them, whose like is wired in a way
// that this does not copy: pitches and gates that share a jack, or go through modules, and
// whatever is wired for that bank alone. A gate-OR of a set-up is named as "set-up stage".
func Further(rig *profiles.Rig, like int, parts []int) (with *profiles.Rig, byHand []string) {
	w := &joiner{rig: rig.GrownLike(like, rig.Banks[like].Size, parts), like: like}
	w.fresh = len(w.rig.Banks) - 1
	w.macros()
	w.wires()
	w.setUps()
	return w.rig, w.byHand
}

// joiner leads to a new bank what leads to its like.
type joiner struct {
	rig         *profiles.Rig
	like, fresh int // banks
	byHand      []string
}

// counterpart is the input of the new bank for one of its like.
func (w *joiner) counterpart(t profiles.Target) profiles.Target {
	t.Bank, t.Pos = w.fresh, profiles.Pos{}
	if t.Voice >= 0 {
		t.Voice += w.rig.Banks[w.fresh].First - w.rig.Banks[w.like].First
	}
	return t
}

// own tells whether an input has a jack for each voice: its pitch or its gate, but for the
// common pitch jack of a bank.
func (w *joiner) own(t profiles.Target) bool {
	group := w.rig.Kinds[w.rig.Banks[t.Bank].Kind].GroupPitch != profiles.GroupNone
	return t.Input == "gate" || t.Input == "pitch" && (t.Voice >= 0 || !group)
}

// name is that of the counterpart of an input.
func (w *joiner) name(t profiles.Target) string {
	t = w.counterpart(t)
	return routing.Input{Bank: t.Bank, Voice: t.Voice, Input: t.Input}.Name(w.rig)
}

func (w *joiner) hand(name string) {
	if !slices.Contains(w.byHand, name) {
		w.byHand = append(w.byHand, name)
	}
}

// sameEnd tells whether two targets are one input, whatever leads there.
func sameEnd(a, b profiles.Target) bool {
	return a.Bank == b.Bank && a.Voice == b.Voice && a.Input == b.Input
}

// macros lets each macro of the like move the new bank too, but where a wire for the like alone
// leads it there.
func (w *joiner) macros() {
	w.rig.Macros = slices.Clone(w.rig.Macros)
	for i := range w.rig.Macros {
		m := &w.rig.Macros[i]
		for _, t := range m.To[:len(m.To):len(m.To)] {
			if t.Bank != w.like {
				continue
			}
			if wired, shared := w.wired(t); wired && !shared {
				w.hand(w.name(t))
				continue
			}
			m.To = append(slices.Clip(m.To), w.counterpart(t))
		}
	}
}

// wired tells whether a wire leads to an input, and whether one that does leads to other
// banks too.
func (w *joiner) wired(t profiles.Target) (wired, shared bool) {
	for i := range w.rig.Wiring {
		x := &w.rig.Wiring[i]
		if slices.ContainsFunc(x.To, func(u profiles.Target) bool { return sameEnd(u, t) }) {
			wired = true
			shared = shared || slices.ContainsFunc(x.To, func(u profiles.Target) bool { return u.Bank != t.Bank })
		}
	}
	return wired, shared
}

// wires joins the new bank to what other banks have from the jack of its like too.
func (w *joiner) wires() {
	w.rig.Wiring, w.rig.Gear, w.rig.Ways = slices.Clone(w.rig.Wiring), slices.Clone(w.rig.Gear), slices.Clone(w.rig.Ways)
	var ends []profiles.Target
	for i := range w.rig.Wiring {
		for _, t := range w.rig.Wiring[i].To {
			if t.Bank == w.like && !slices.ContainsFunc(ends, func(u profiles.Target) bool { return sameEnd(u, t) }) {
				ends = append(ends, t)
			}
		}
	}
	for _, t := range ends {
		_, shared := w.wired(t)
		switch {
		case !w.own(t) && shared:
			w.join(t)
		case w.alone(t): // a jack of its own does
		default:
			w.hand(w.name(t))
		}
	}
}

// alone tells whether a wire leads from its jack straight to one input and nowhere else, which
// the map does without a wire.
func (w *joiner) alone(t profiles.Target) bool {
	b := &w.rig.Banks[t.Bank]
	lane := t.Voice >= 0 && slices.Contains(w.rig.Kinds[b.Kind].Inputs, t.Input) || t.Voice < 0 && slices.Contains(b.Lanes, t.Input)
	for i := range w.rig.Wiring {
		x := &w.rig.Wiring[i]
		if slices.ContainsFunc(x.To, func(u profiles.Target) bool { return sameEnd(u, t) }) &&
			(len(x.To) > 1 || t.Via != 0 || len(routing.InputsOf(w.rig, t)) > 1) {
			return false
		}
	}
	return lane
}

// hub is where plugs meet: the multiple of a wire from a jack, or a module.
type hub struct{ wire, gear int } // gear is −1 for that of the wire

// join leads to the counterpart of an input from each hub that leads to that.
func (w *joiner) join(t profiles.Target) {
	var hubs []hub
	for i := range w.rig.Wiring {
		for _, u := range w.rig.Wiring[i].To {
			h := hub{i, -1}
			if way := w.rig.Way(u.Via); len(way) > 0 {
				h = hub{-1, way[len(way)-1]}
			}
			if sameEnd(u, t) && !slices.Contains(hubs, h) {
				hubs = append(hubs, h)
			}
		}
	}
	for _, h := range hubs {
		w.attach(w.roomy(h, t), w.counterpart(t))
	}
}

// roomy is a hub itself where it has an output left, else a multiple behind it that has one:
// a new one in the place of one of its ends where there is none.
func (w *joiner) roomy(h hub, end profiles.Target) hub {
	if w.room(h) {
		return h
	}
	for _, on := range w.on(h) {
		if behind := (hub{-1, on}); w.rig.Gear[on].Pos.IsZero() && w.room(behind) {
			return behind
		}
	}
	return w.extend(h, end)
}

// extend puts a multiple behind a hub in the place of one of its ends, and that behind it.
func (w *joiner) extend(h hub, moved profiles.Target) hub {
	g := profiles.Gear{Name: w.rig.FreeName("multiple"), Does: profiles.DoesPassive, Ins: 1}
	if h.gear >= 0 {
		like := &w.rig.Gear[h.gear]
		g.Name, g.Does, g.Outs, g.HP, g.Current = w.rig.FreeName(like.Name), like.Does, like.Outs, like.HP, like.Current
	} else {
		g.Outs = w.rig.Wiring[h.wire].Outs
	}
	at := len(w.rig.Gear)
	w.rig.Gear = append(w.rig.Gear, g)
	for i := range w.rig.Wiring {
		x := &w.rig.Wiring[i]
		x.To = slices.Clone(x.To)
		for k := range x.To {
			if u := &x.To[k]; sameEnd(*u, moved) && w.behind(h, i, u.Via) {
				u.Via = w.way(append(slices.Clone(w.rig.Way(u.Via)), at))
			}
		}
	}
	if h.gear >= 0 {
		like := &w.rig.Gear[h.gear]
		like.On = append(slices.Clip(like.On), at)
		like.To = slices.DeleteFunc(slices.Clone(like.To), func(u profiles.Target) bool { return sameEnd(u, moved) })
	} else {
		x := &w.rig.Wiring[h.wire]
		x.On = append(slices.Clip(x.On), at)
	}
	moved.Via, moved.Pos = 0, profiles.Pos{}
	w.rig.Gear[at].To = []profiles.Target{moved}
	return hub{-1, at}
}

// behind tells whether what a wire leads to by some way hangs on a hub itself.
func (w *joiner) behind(h hub, wire, via int) bool {
	way := w.rig.Way(via)
	if h.gear < 0 {
		return wire == h.wire && len(way) == 0
	}
	return len(way) > 0 && way[len(way)-1] == h.gear
}

// attach leads from a hub to an input.
func (w *joiner) attach(h hub, t profiles.Target) {
	for i := range w.rig.Wiring {
		x := &w.rig.Wiring[i]
		var vias []int
		for _, u := range x.To {
			if w.behind(h, i, u.Via) && !slices.Contains(vias, u.Via) {
				vias = append(vias, u.Via)
			}
		}
		x.To = slices.Clip(x.To)
		for _, via := range vias {
			t.Via = via
			x.To = append(x.To, t)
		}
	}
	if h.gear >= 0 {
		t.Via = 0
		g := &w.rig.Gear[h.gear]
		g.To = append(slices.Clip(g.To), t)
	}
}

// ends are the inputs that hang on a hub itself.
func (w *joiner) ends(h hub) (all []profiles.Target) {
	if h.gear >= 0 {
		return w.rig.Gear[h.gear].To
	}
	for _, t := range w.rig.Wiring[h.wire].To {
		if t.Via == 0 {
			all = append(all, t)
		}
	}
	return all
}

// on are the modules that hang on a hub.
func (w *joiner) on(h hub) []int {
	if h.gear >= 0 {
		return w.rig.Gear[h.gear].On
	}
	return w.rig.Wiring[h.wire].On
}

// room tells whether a hub has an output left. Where nobody says how many it has, it has as
// many as are wanted; so has a tree of buffered multiples, of which there are more then.
func (w *joiner) room(h hub) bool {
	outs := 0
	if h.gear >= 0 {
		outs = w.rig.Gear[h.gear].Outs
	} else if x := &w.rig.Wiring[h.wire]; x.Through == profiles.Passive {
		outs = x.Outs
	}
	taken := len(w.on(h))
	for _, t := range w.ends(h) {
		taken += len(routing.InputsOf(w.rig, t))
	}
	return outs == 0 || taken < outs
}

// way is the index of a way, which is added where it is new.
func (w *joiner) way(modules []int) int {
	at := slices.IndexFunc(w.rig.Ways, func(way []int) bool { return slices.Equal(way, modules) })
	if at > 0 {
		return at
	}
	w.rig.Ways = append(slices.Clip(w.rig.Ways), modules)
	return len(w.rig.Ways) - 1
}

// setUps gives the new bank to each part of a sequencer that plays its like.
func (w *joiner) setUps() {
	w.rig.SetUps = slices.Clone(w.rig.SetUps)
	for i := range w.rig.SetUps {
		s := &w.rig.SetUps[i]
		s.Parts = slices.Clone(s.Parts)
		for k := range s.Parts {
			if !slices.Contains(s.Parts[k].Banks, w.like) {
				continue
			}
			s.Parts[k].Banks = append(slices.Clip(s.Parts[k].Banks), w.fresh)
			if s.Gates == profiles.GateOr {
				w.hand("set-up " + s.Name)
			}
		}
	}
}
