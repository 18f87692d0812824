package alloc

import "time"

// keyGoesUp ends the key of a note: a pedal may keep the note, or it closes.
func (g *gates) keyGoesUp(i int32) {
	if i == none {
		return
	}
	s := &g.slots[i]
	if !s.down {
		return
	}
	latched := latches(s)
	g.lift(i)
	switch {
	case latched:
		g.keep(i, sostenuto)
		g.sink.hold(i)
	case s.channel.sustain:
		g.keep(i, sustain)
		g.sink.hold(i)
	default:
		g.finish(i)
	}
}

// lift marks the key of a note as up.
func (g *gates) lift(i int32) {
	s := &g.slots[i]
	if s.down && s.ident.held != none {
		g.ofKey.remove(i)
	}
	s.down = false
}

// finish closes a note whose key is up, at once or when its minimum gate is
// over.
func (g *gates) finish(i int32) {
	s := &g.slots[i]
	if s.foreign {
		g.sink.swallow(i)
	}
	g.sink.letGo(i)
	due := s.start + g.minGate
	if due <= *g.clock {
		g.shut(i)
		return
	}
	g.keep(i, minGate)
	g.closings.push(closing{due: due, id: s.id, slot: i})
}

// shut closes a note now.
func (g *gates) shut(i int32) {
	g.unlink(i)
	if s := &g.slots[i]; s.mono != nil {
		s.mono.gate = none
	} else if s.ident.now == i {
		s.ident.now = none
	}
	g.sink.close(i)
	g.free(i)
}

// unlink takes a note out of every list.
func (g *gates) unlink(i int32) {
	s := &g.slots[i]
	if s.down {
		g.lift(i)
	}
	if s.keeper != nobody {
		g.keep(i, nobody)
	}
}

// advance closes the notes whose minimum gate or whose pulse ends at or before t.
func (g *gates) advance(t time.Duration) {
	for len(g.closings) > 0 && g.closings[0].due <= t {
		c := g.closings.pop()
		switch s := &g.slots[c.slot]; {
		case s.id != c.id:
		case s.keeper == minGate && c.due >= s.start+g.minGate:
			*g.clock = c.due
			g.shut(c.slot)
		case s.keeper != minGate && c.due == s.falls:
			*g.clock = c.due
			g.fall(c.slot)
		}
	}
}

// fall ends the pulse of a note, whatever keys and pedals say.
func (g *gates) fall(i int32) {
	g.slots[i].foreign = false
	g.lift(i)
	g.keep(i, nobody)
	g.finish(i)
}

// end lets every gate that is still open close at the end of the song.
func (g *gates) end(at time.Duration, stuck func(int32)) {
	g.advance(at)
	*g.clock = at
	open := g.gather[:0]
	for i := range g.slots {
		if s := &g.slots[i]; s.id != NoNote && s.keeper != minGate {
			open = append(open, int32(i))
		}
	}
	g.byAge(open)
	for _, i := range open {
		if g.slots[i].down {
			stuck(i)
		}
		g.fall(i)
	}
	g.gather = open
	g.advance(1<<63 - 1)
}

// closing is a note whose gate closes when its minimum gate, or its pulse, is over.
type closing struct {
	due  time.Duration
	id   NoteID
	slot int32
}

// closings is a binary heap of closings, the earliest and then the oldest note
// first.
type closings []closing

func (c closing) before(d closing) bool {
	return c.due < d.due || c.due == d.due && c.id < d.id
}

func (h *closings) push(c closing) {
	*h = append(*h, c)
	q := *h
	i := len(q) - 1
	for i > 0 && c.before(q[(i-1)/2]) {
		q[i] = q[(i-1)/2]
		i = (i - 1) / 2
	}
	q[i] = c
}

func (h *closings) pop() closing {
	q := *h
	top, last := q[0], q[len(q)-1]
	q = q[:len(q)-1]
	*h = q
	if len(q) == 0 {
		return top
	}
	i := 0
	for {
		child := 2*i + 1
		if child >= len(q) {
			break
		}
		if child+1 < len(q) && q[child+1].before(q[child]) {
			child++
		}
		if !q[child].before(last) {
			break
		}
		q[i] = q[child]
		i = child
	}
	q[i] = last
	return top
}
