package slow

import (
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// winner is the key of a mono part that should sound: of those that are down,
// in the order of pressing, the last, the lowest or the highest; of equal keys
// the later pressed.
func winner(mode alloc.Mode, down []pressedKey) pressedKey {
	found := down[0]
	for _, w := range down[1:] {
		switch {
		case mode == alloc.MonoLast,
			mode == alloc.MonoLow && w.key <= found.key,
			mode == alloc.MonoHigh && w.key >= found.key:
			found = w
		}
	}
	return found
}

// theGate is the note of a mono part that has its gate, or −1.
func (g *gates) theGate(p int) int {
	for i, n := range g.notes {
		if n.Part == p && n.state != alloc.Free {
			return i
		}
	}
	return -1
}

// monoOn presses a key of a mono part. If the key wins, its note follows the
// one that has the gate: legato if a key was down, unless each press attacks.
// If not, the note never sounds.
func (g *gates) monoOn(p int, s midi.Step) {
	part := g.cfg.Parts[p]
	n := newGate(p, part, s)
	wasDown := len(g.stacks[p]) > 0
	prev := g.theGate(p)
	n.latched = slices.Contains(g.stacks[p], pressedKey{n.under, true}) ||
		prev >= 0 && g.notes[prev].latched && g.notes[prev].under == n.under
	g.lift(p, n.under)
	g.stacks[p] = append(g.stacks[p], pressedKey{n.under, n.latched})
	g.down[n.identity()]++
	if winner(part.Mode, g.stacks[p]).wire != n.under {
		n.state, n.keyDown, n.latched, n.Superseded = alloc.Free, false, false, true
		n.KeyUp, n.End = n.Start, n.Start
		g.notes = append(g.notes, n)
		g.out = append(g.out, happening{at: s.At, kind: muted, note: len(g.notes) - 1, line: n.under.line})
		return
	}
	legato := false
	if prev >= 0 {
		over := g.notes[prev].closing // its pulse is: the keys are down all the same
		legato = wasDown && !over && !part.ReattackPress
		g.notes[prev].Superseded = true
		g.finish(prev, s.At)
	}
	g.begin(n, prev, legato)
}

// monoOff counts an off of a mono part's key, which leaves the stack at its
// last one, or at the first under first-off.
func (g *gates) monoOff(id identity, at time.Duration) {
	g.down[id]--
	firstOff := g.cfg.Parts[id.part].SameKey == alloc.RetriggerFirstOff
	w := wire{line{id.port, id.channel}, id.key}
	if g.down[id] > 0 && !firstOff || !g.lift(id.part, w) {
		return
	}
	i := g.theGate(id.part)
	g.left(id.part, w.line, at)
	if i >= 0 && g.notes[i].sounds() == id && !g.notes[i].keyDown && g.down[id] > 0 {
		g.swallow(i)
	}
}

// lift takes a key off the stack and tells whether it was there.
func (g *gates) lift(p int, w wire) bool {
	was := len(g.stacks[p])
	g.stacks[p] = slices.DeleteFunc(g.stacks[p], func(k pressedKey) bool { return k.wire == w })
	return len(g.stacks[p]) < was
}

// liftAll takes the keys of a channel off all stacks.
func (g *gates) liftAll(l line) {
	for p := range g.stacks {
		g.stacks[p] = slices.DeleteFunc(g.stacks[p], func(k pressedKey) bool { return k.line == l })
	}
}

// left looks after the gate of a mono part when keys of a channel have left
// the stack. If the key that sounds is among them, the note goes on under the
// winner of the others, latch and all, and if there is none, its key is up.
func (g *gates) left(p int, l line, at time.Duration) {
	i := g.theGate(p)
	if i < 0 || !g.notes[i].keyDown || !g.notes[i].on(l) ||
		slices.ContainsFunc(g.stacks[p], func(k pressedKey) bool { return k.wire == g.notes[i].under }) {
		return
	}
	if len(g.stacks[p]) == 0 {
		g.keyUp(i, at)
		return
	}
	part, n := g.cfg.Parts[p], &g.notes[i]
	key := winner(part.Mode, g.stacks[p])
	n.under, n.latched = key.wire, key.latched
	if part.ReattackReturn {
		n.falls = at + part.Pulse
	}
	g.out = append(g.out, happening{at: at, kind: returned, note: i, prev: -1, legato: !part.ReattackReturn,
		line: n.under.line, sounding: int(n.under.key) + part.Transpose,
		bend: g.total(part, n.under.line), pressure: g.pressures[n.under.line]})
}
