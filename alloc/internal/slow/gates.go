package slow

import (
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// gates is the first pass.
type gates struct {
	cfg       alloc.Config
	notes     []gate
	down      map[identity]int // ons minus offs
	raw       map[wire]int     // the same for the song, parts and resets aside
	sustain   map[line]bool
	sostenuto map[line]bool
	bends     map[line]bend
	pressures map[line]uint8
	stacks    [][]pressedKey // by part: the keys of a mono part that are down, in order of pressing
	zones     map[midi.Port]*zones

	orphans     int
	partOrphans []int
	unmapped    int
	out         []happening
}

func newGates(cfg alloc.Config) *gates {
	return &gates{
		cfg:  cfg,
		down: map[identity]int{}, raw: map[wire]int{},
		sustain: map[line]bool{}, sostenuto: map[line]bool{},
		bends: map[line]bend{}, pressures: map[line]uint8{},
		stacks: make([][]pressedKey, len(cfg.Parts)), zones: map[midi.Port]*zones{},
		partOrphans: make([]int, len(cfg.Parts)),
	}
}

// run takes all steps and lets the song end.
func (g *gates) run(steps []midi.Step, end time.Duration) {
	for _, s := range steps {
		g.closeDue(s.At)
		g.step(s)
	}
	g.closeDue(end)
	for i := range g.notes {
		if n := &g.notes[i]; n.state != alloc.Free && !n.closing {
			n.Stuck = n.keyDown
			g.out = append(g.out, happening{at: end, kind: raised, note: i})
			g.close(i, end)
		}
	}
	g.closeDue(1<<63 - 1)
}

// step lets one event act; what the manager of a zone gets acts on every
// member then as if it were sent there.
func (g *gates) step(s midi.Step) {
	l := line{s.Port, s.Channel}
	g.act(l, s)
	if goesToAll(s.Kind) {
		for _, m := range g.members(l) {
			g.act(m, s)
		}
	}
}

// act lets an event act on a channel.
func (g *gates) act(l line, s midi.Step) {
	switch s.Kind {
	case midi.StepNoteOn:
		g.noteOn(s)
	case midi.StepNoteOff:
		g.noteOff(s)
	case midi.StepSustain:
		g.sustain[l] = s.Down()
		if !s.Down() {
			g.letGo(l, s.At)
		}
	case midi.StepSostenuto:
		g.sostenutoStep(l, s)
	case midi.StepNotesOff:
		g.notesOff(l, s.At)
	case midi.StepSoundOff:
		g.soundOff(l, s.At)
	case midi.StepReset:
		g.reset(l, s.At)
	case midi.StepBend:
		g.setBend(l, s.At, bend{s.Value, g.bend(l).cents})
	case midi.StepBendRange:
		g.setRange(l, s.At, int(s.Value))
	case midi.StepChannelPressure:
		g.setPressure(l, s.At, uint8(s.Value))
	case midi.StepKeyPressure:
		g.keyPressure(wire{l, s.Key}, s.At, uint8(s.Value))
	case midi.StepZone:
		g.setZone(l, s.At, int(s.Value))
	}
}

// noteOn gives every part that takes the key a note of its own.
func (g *gates) noteOn(s midi.Step) {
	w := wire{line{s.Port, s.Channel}, s.Key}
	g.raw[w]++
	taken := false
	for p, part := range g.cfg.Parts {
		v := uint8(s.Value)
		if !g.hears(part, w) || v < part.Velocities[0] || part.Velocities[1] < v {
			continue
		}
		taken = true
		if part.Mode == alloc.Poly {
			g.open(p, s)
		} else {
			g.monoOn(p, s)
		}
	}
	if !taken {
		g.unmapped++
	}
}

// newGate is the note of a key that is pressed.
func newGate(p int, part alloc.Part, s midi.Step) gate {
	return gate{state: alloc.Held, keyDown: true, under: wire{line{s.Port, s.Channel}, s.Key}, Note: Note{
		Part: p, Port: s.Port, Channel: s.Channel, Key: s.Key,
		Sounding: int(s.Key) + part.Transpose, Velocity: uint8(s.Value),
		Tick: s.Tick, Start: s.At, Zero: s.Zero,
	}}
}

// open starts a note. Under retrigger the note of its key that still has its
// gate up is superseded, and hands a sostenuto latch on.
func (g *gates) open(p int, s midi.Step) {
	n := newGate(p, g.cfg.Parts[p], s)
	id := n.identity()
	prev := -1
	if !g.cfg.Parts[p].SameKey.Stacks() {
		prev = g.sounding(id)
	}
	if prev >= 0 {
		n.latched = g.notes[prev].latched
		g.notes[prev].Superseded = true
		g.finish(prev, s.At)
	}
	g.down[id]++
	g.begin(n, prev, false)
}

// begin opens the gate of a note.
func (g *gates) begin(n gate, prev int, legato bool) {
	if n.falls = n.Start + g.cfg.Parts[n.Part].Pulse; legato {
		n.falls = g.notes[prev].falls
	}
	g.notes = append(g.notes, n)
	l := n.under.line
	g.out = append(g.out, happening{at: n.Start, kind: opened, note: len(g.notes) - 1, prev: prev, legato: legato,
		line: l, sounding: n.Sounding, bend: g.total(g.cfg.Parts[n.Part], l), pressure: g.pressures[l]})
}

// sounding is the note of that key whose gate is up, or −1.
func (g *gates) sounding(id identity) int {
	for i, n := range g.notes {
		if n.identity() == id && n.state != alloc.Free {
			return i
		}
	}
	return -1
}

// noteOff passes an off on to every part that takes the key. An off whose on
// is not in the song is an orphan: ignored and counted.
func (g *gates) noteOff(s midi.Step) {
	w := wire{line{s.Port, s.Channel}, s.Key}
	orphan := g.raw[w] == 0
	if orphan {
		g.orphans++
	} else {
		g.raw[w]--
	}
	for p, part := range g.cfg.Parts {
		if !orphan { // whoever took the note-on hears its off, zone or not
			g.off(identity{p, s.Port, s.Channel, s.Key}, s.At)
		} else if g.hears(part, w) {
			g.partOrphans[p]++
		}
	}
}

// off counts an off of a key and ends the note that the same-key rule says.
func (g *gates) off(id identity, at time.Duration) {
	if g.down[id] == 0 {
		return
	}
	if g.cfg.Parts[id.part].Mode != alloc.Poly {
		g.monoOff(id, at)
		return
	}
	g.down[id]--
	rule := g.cfg.Parts[id.part].SameKey
	if rule == alloc.RetriggerCounted && g.down[id] > 0 {
		return
	}
	i := g.whoseOff(id, rule)
	if i < 0 {
		return
	}
	g.keyUp(i, at)
	if rule == alloc.RetriggerFirstOff && g.down[id] > 0 {
		g.swallow(i)
	}
}

// swallow marks a note that the off of an earlier one of its key has reached.
// On the pedal it has not died of it yet.
func (g *gates) swallow(i int) {
	n := &g.notes[i]
	n.early = n.state == alloc.Pedal
	n.Swallowed = !n.early
}

// whoseOff is the note that an off ends: of those of the key that are down the
// newest under stack lifo, else the oldest. −1 if none is down.
func (g *gates) whoseOff(id identity, rule alloc.SameKey) int {
	found := -1
	for i, n := range g.notes {
		if n.identity() == id && n.keyDown && n.state != alloc.Free {
			found = i
			if rule != alloc.StackLIFO {
				break
			}
		}
	}
	return found
}

// keyUp lets a key go: a pedal keeps the gate, or else it closes.
func (g *gates) keyUp(i int, at time.Duration) {
	n := &g.notes[i]
	n.keyDown = false
	g.out = append(g.out, happening{at: at, kind: raised, note: i})
	if g.sustain[n.under.line] || n.latched {
		n.state, n.KeyUp = alloc.Pedal, at
		g.out = append(g.out, happening{at: at, kind: kept, note: i})
		return
	}
	g.close(i, at)
}

// close closes a gate, though not before the minimum gate is over.
func (g *gates) close(i int, at time.Duration) {
	n := &g.notes[i]
	if least := n.Start + g.cfg.MinGate; at < least {
		n.closing, n.closeAt = true, least
		return
	}
	g.finish(i, at)
	g.out = append(g.out, happening{at: at, kind: closed, note: i})
}

// finish writes down where the gate of a note ends.
func (g *gates) finish(i int, at time.Duration) {
	n := &g.notes[i]
	if n.state == alloc.Held {
		n.KeyUp = at
	}
	n.state, n.keyDown, n.closing, n.latched, n.End = alloc.Free, false, false, false, at
}

// closeDue closes the gates whose minimum or whose pulse is over by then, the earliest
// first.
func (g *gates) closeDue(until time.Duration) {
	for {
		first, due := -1, until
		for i := range g.notes {
			if at, ends := g.ends(i); ends && at <= until && (first < 0 || at < due) {
				first, due = i, at
			}
		}
		if first < 0 {
			return
		}
		if n := &g.notes[first]; !n.closing {
			n.keyDown, n.latched = false, false
			g.out = append(g.out, happening{at: due, kind: raised, note: first})
		}
		g.close(first, due)
	}
}

// ends is when a gate closes whatever comes.
func (g *gates) ends(i int) (at time.Duration, ok bool) {
	n := g.notes[i]
	if n.closing {
		return n.closeAt, true
	}
	return n.falls, n.state != alloc.Free && g.cfg.Parts[n.Part].Pulse > 0
}

// reference is the outcome of the gates pass.
func (g *gates) reference(end time.Duration) Notes {
	r := Notes{Orphans: g.orphans, PartOrphans: g.partOrphans, Unmapped: g.unmapped, End: end}
	for _, n := range g.notes {
		r.Notes = append(r.Notes, n.Note)
	}
	return r
}
