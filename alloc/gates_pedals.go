package alloc

import (
	"cmp"
	"slices"
)

// keeper is what keeps the gate of a note high whose key is up.
type keeper uint8

const (
	nobody keeper = iota
	sustain
	sostenuto
	minGate // the minimum gate, until it is over
	keepers
)

// keep puts a note on a keeper's list, or with nobody takes it off.
func (g *gates) keep(i int32, by keeper) {
	s := &g.slots[i]
	if s.keeper != nobody {
		g.waiting.remove(i)
	}
	s.keeper = by
	if by != nobody {
		g.waiting.push(s.channel.kept[by], i)
	}
}

// latches tells whether a key that goes up now would be kept by sostenuto,
// which keeps only keys that were down when it was pressed.
func latches(s *slot) bool {
	return s.down && s.channel.latches(s.since, s.carried)
}

func (c *channel) latches(since NoteID, carried uint32) bool {
	return c.sostenuto && (since <= c.mark || carried == c.presses)
}

func (g *gates) setSustain(c *channel, down bool) {
	if down == c.sustain {
		return
	}
	c.sustain = down
	if !down {
		g.finishAll(g.collect(g.gather[:0], c, sustain))
	}
}

// press puts sostenuto down: it latches keys that are down and came before a note,
// and those that follow on them. What an earlier press latched counts no more.
func (c *channel) press(mark NoteID) {
	c.sostenuto, c.mark = true, mark
	c.presses++
}

func (g *gates) setSostenuto(c *channel, down bool) {
	if down == c.sostenuto {
		return
	}
	if down {
		c.press(g.next)
		return
	}
	c.sostenuto = false
	latched := g.collect(g.gather[:0], c, sostenuto)
	if !c.sustain {
		g.finishAll(latched)
		return
	}
	for _, i := range latched {
		g.keep(i, sustain)
	}
	g.gather = latched
}

// collect appends the notes on a keeper's list.
func (g *gates) collect(to []int32, c *channel, by keeper) []int32 {
	end := c.kept[by]
	for i := g.waiting[end].next; i != end; i = g.waiting[i].next {
		to = append(to, i)
	}
	return to
}

// finishAll lets notes end that a pedal has kept, the oldest first.
func (g *gates) finishAll(notes []int32) {
	g.byAge(notes)
	for _, i := range notes {
		g.keep(i, nobody)
		g.finish(i)
	}
	g.gather = notes
}

func (g *gates) byAge(notes []int32) {
	slices.SortFunc(notes, func(a, b int32) int { return cmp.Compare(g.slots[a].id, g.slots[b].id) })
}

// notesOff is an off for each key of the channel; the pedals still count.
func (g *gates) notesOff(c *channel) {
	down := g.clearKeys(c)
	for _, i := range down {
		if m := g.slots[i].mono; m != nil {
			g.afterLetGo(m)
		} else {
			g.keyGoesUp(i)
		}
	}
	g.gather = down
}

// clearKeys forgets the note-ons of a channel and returns its key-down notes,
// the oldest first.
func (g *gates) clearKeys(c *channel) []int32 {
	down := g.gather[:0]
	for n := range c.ears {
		r := &c.ears[n]
		for k := range r.idents {
			down = g.clearKey(&r.idents[k], down)
		}
		if m := r.mono; m != nil {
			m.clear(c)
			if i := m.gate; i != none && g.slots[i].channel == c {
				g.slots[i].foreign = false
				if g.slots[i].down {
					down = append(down, i)
				}
			}
		}
	}
	g.byAge(down)
	return down
}

// clearKey forgets the note-ons of an identity and appends its key-down notes.
func (g *gates) clearKey(ident *identity, down []int32) []int32 {
	if ident.down == 0 {
		return down
	}
	ident.down = 0
	if ident.now != none {
		g.slots[ident.now].foreign = false
		if g.slots[ident.now].down {
			down = append(down, ident.now)
		}
	}
	if end := ident.held; end != none {
		for i := g.ofKey[end].next; i != end; i = g.ofKey[i].next {
			down = append(down, i)
		}
	}
	return down
}

// soundOff puts every gate of the channel low now, pedals or not. The tails
// sound on: no gate can switch an analog tail off.
func (g *gates) soundOff(c *channel) {
	open := g.clearKeys(c)
	for k := sustain; k < keepers; k++ {
		open = g.collect(open, c, k)
	}
	g.byAge(open)
	for _, i := range open {
		g.shut(i)
	}
	g.gather = open
}

// reset puts pedals up, bend to the centre and pressure to 0; the bend range
// stays (RP-015).
func (g *gates) reset(c *channel) {
	c.sustain, c.sostenuto = false, false
	g.finishAll(g.collect(g.collect(g.gather[:0], c, sustain), c, sostenuto))
	g.setBend(c, 0, c.bendRange)
	g.setPressure(c, 0)
}

// setBend moves the bend (−1 … +8191/8192 of the range) or its range. The bend
// of a zone's manager is added to that of the members.
func (g *gates) setBend(c *channel, value, semitones float64) {
	moves := value != c.bendValue || value != 0 && semitones != c.bendRange
	c.bendValue, c.bendRange = value, semitones
	if moves {
		g.sink.bend(c)
		g.members(c, g.sink.bend)
	}
}

// setPressure always tells, since key pressure may have moved single voices.
func (g *gates) setPressure(c *channel, value uint8) {
	c.pressure = value
	g.sink.pressure(c)
}
