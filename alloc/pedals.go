package alloc

import (
	"cmp"
	"slices"
)

// keeper is the pedal that keeps a note whose key is up.
type keeper uint8

const (
	nobody keeper = iota
	sustain
	sostenuto
)

// keep puts a note on a pedal's list, or with nobody takes it off.
func (g *gates) keep(i int32, by keeper) {
	s := &g.slots[i]
	if s.keeper != nobody {
		s.channel.keptBy(s.keeper).remove(g.onPedal, i)
	}
	s.keeper = by
	if by != nobody {
		s.channel.keptBy(by).push(g.onPedal, i)
	}
}

func (c *channel) keptBy(k keeper) *list {
	if k == sostenuto {
		return &c.latched
	}
	return &c.kept
}

// latches tells whether a key that goes up now would be kept by sostenuto,
// which keeps only keys that were down when it was pressed.
func latches(s *slot) bool {
	return s.channel.sostenuto && s.down && (s.id < s.channel.mark || s.carried)
}

func (g *gates) setSustain(c *channel, down bool) {
	if down == c.sustain {
		return
	}
	c.sustain = down
	if !down {
		g.finishAll(g.collect(g.gather[:0], c.kept))
	}
}

func (g *gates) setSostenuto(c *channel, down bool) {
	if down == c.sostenuto {
		return
	}
	c.sostenuto = down
	if down {
		c.mark = g.next
		return
	}
	latched := g.collect(g.gather[:0], c.latched)
	if !c.sustain {
		g.finishAll(latched)
		return
	}
	for _, i := range latched {
		g.keep(i, sustain)
	}
	g.gather = latched
}

// collect appends the notes of a pedal's list.
func (g *gates) collect(to []int32, l list) []int32 {
	for i := l.head; i != none; i = g.onPedal[i].next {
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
	down := g.gather[:0]
	for _, r := range c.ears {
		for k := range r.idents {
			down = g.clearKey(&r.idents[k], down)
		}
	}
	g.byAge(down)
	for _, i := range down {
		g.keyGoesUp(i, false)
	}
	g.gather = down
}

// clearKey forgets the note-ons of an identity and appends its key-down notes.
func (g *gates) clearKey(ident *identity, down []int32) []int32 {
	if ident.down == 0 {
		return down
	}
	ident.down = 0
	if ident.now != none && g.slots[ident.now].down {
		down = append(down, ident.now)
	}
	for i := ident.held.head; i != none; i = g.ofKey[i].next {
		down = append(down, i)
	}
	return down
}

// soundOff puts every gate of the channel low now, pedals or not. The tails
// sound on: no gate can switch an analog tail off.
func (g *gates) soundOff(c *channel) {
	for _, r := range c.ears {
		for k := range r.idents {
			r.idents[k].down = 0
		}
	}
	for c.notes.head != none {
		g.shut(c.notes.head)
	}
}

// reset puts pedals up, bend to the centre and pressure to 0; the bend range
// stays (RP-015).
func (g *gates) reset(c *channel) {
	c.sustain, c.sostenuto = false, false
	g.finishAll(g.collect(g.collect(g.gather[:0], c.kept), c.latched))
	c.bendValue, c.pressure = 0, 0
	g.sink.bend(c)
	g.sink.pressure(c)
}
