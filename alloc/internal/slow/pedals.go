package slow

import (
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// on tells whether a note is played on that channel: that of the key that
// sounds.
func (n gate) on(l line) bool { return n.under.line == l }

// letGo closes the gates on the pedal which no pedal keeps any longer. One that
// an earlier note's off brought there, and whose own is still to come, dies of
// that off now: it is swallowed.
func (g *gates) letGo(l line, at time.Duration) {
	for i, n := range g.notes {
		if n.on(l) && n.state == alloc.Pedal && !n.closing && !n.latched && !g.sustain[l] {
			g.notes[i].Swallowed = n.early && g.down[n.sounds()] > 0
			g.close(i, at)
		}
	}
}

// sostenutoStep latches the keys that are down when the pedal is pressed, and
// unlatches all when it comes up.
func (g *gates) sostenutoStep(l line, s midi.Step) {
	was := g.sostenuto[l]
	g.sostenuto[l] = s.Down()
	switch {
	case s.Down() && !was:
		for i, n := range g.notes {
			if n.on(l) && n.keyDown {
				g.notes[i].latched = true
			}
		}
		g.latchKeys(l, true)
	case !s.Down():
		g.unlatch(l)
		g.letGo(l, s.At)
	}
}

func (g *gates) unlatch(l line) {
	for i, n := range g.notes {
		if n.on(l) {
			g.notes[i].latched = false
		}
	}
	g.latchKeys(l, false)
}

// latchKeys does the same to the keys of mono parts that are down, whether or
// not they sound.
func (g *gates) latchKeys(l line, latched bool) {
	for _, stack := range g.stacks {
		for k := range stack {
			if stack[k].line == l {
				stack[k].latched = latched
			}
		}
	}
}

// forget clears the count of every key of the channel.
func (g *gates) forget(l line) {
	for id := range g.down {
		if id.port == l.port && id.channel == l.channel {
			delete(g.down, id)
		}
	}
}

// notesOff is an off for each key of the channel; it obeys the pedals.
func (g *gates) notesOff(l line, at time.Duration) {
	g.forget(l)
	g.liftAll(l)
	for i, n := range g.notes {
		switch {
		case !n.on(l) || !n.keyDown:
		case g.cfg.Parts[n.Part].Mode == alloc.Poly:
			g.keyUp(i, at)
		default:
			g.left(n.Part, l, at)
		}
	}
}

// soundOff puts every gate of the channel low now, minimum gate or not.
func (g *gates) soundOff(l line, at time.Duration) {
	g.forget(l)
	g.liftAll(l)
	for i, n := range g.notes {
		if n.on(l) && n.state != alloc.Free {
			g.finish(i, at)
			g.out = append(g.out, happening{at: at, kind: closed, note: i})
		}
	}
}

// reset is controller 121: pedals up, bend centre, pressure 0. Volume, pan and
// the range of the bend stay.
func (g *gates) reset(l line, at time.Duration) {
	g.sustain[l], g.sostenuto[l] = false, false
	g.unlatch(l)
	g.letGo(l, at)
	g.setBend(l, at, bend{centre, g.bend(l).cents})
	g.setPressure(l, at, 0)
}

// setPressure sets the pressure of a channel and of all notes on it.
func (g *gates) setPressure(l line, at time.Duration, value uint8) {
	g.pressures[l] = value
	for i, n := range g.notes {
		if n.on(l) && n.state != alloc.Free {
			g.out = append(g.out, happening{at: at, kind: pressed, note: i, pressure: value})
		}
	}
}

// keyPressure sets the pressure of the notes of one key.
func (g *gates) keyPressure(w wire, at time.Duration, value uint8) {
	for i, n := range g.notes {
		if n.under == w && n.state != alloc.Free {
			g.out = append(g.out, happening{at: at, kind: pressed, note: i, pressure: value})
		}
	}
}
