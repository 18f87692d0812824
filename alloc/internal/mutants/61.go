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
	if ((s.keeper != nobody) != mutantIs(1858)) {
		if !mutantIs(1859) { g.waiting.remove(i) }
	}
	if !mutantIs(1860) { s.keeper = by }
	if ((by != nobody) != mutantIs(1861)) {
		if !mutantIs(1862) { g.waiting.push(s.channel.kept[by], i) }
	}
}

// latches tells whether a key that goes up now would be kept by sostenuto,
// which keeps only keys that were down when it was pressed.
func latches(s *slot) bool {
	return ((((((s.down) != mutantIs(1864))) != mutantIs(1863)) && ((((s.channel.latches(s.since, s.carried)) != mutantIs(1865))) != mutantIs(1863))) != mutantIs(1863))
}

func (c *channel) latches(since NoteID, carried uint32) bool {
	return ((((((c.sostenuto) != mutantIs(1867))) != mutantIs(1866)) && (((((((mutantAtMost(1869, since , c.mark)) != mutantIs(1868)) || ((((carried == c.presses) != mutantIs(1871))) != mutantIs(1868))) != mutantIs(1868)))) != mutantIs(1866))) != mutantIs(1866))
}

func (g *gates) setSustain(c *channel, down bool) {
	if ((down == c.sustain) != mutantIs(1872)) {
		return
	}
	if !mutantIs(1873) { c.sustain = down }
	if ((!down) != mutantIs(1874)) {
		if !mutantIs(1875) { g.finishAll(g.collect(g.gather[:mutantNear[int](1876, 0)], c, sustain)) }
	}
}

// press puts sostenuto down: it latches keys that are down and came before a note,
// and those that follow on them. What an earlier press latched counts no more.
func (c *channel) press(mark NoteID) {
	if !mutantIs(1878) { c.sostenuto, c.mark = true, mark }
	if !mutantIs(1879) { c.presses += mutantTurn[uint32](1880, 1) }
}

func (g *gates) setSostenuto(c *channel, down bool) {
	if ((down == c.sostenuto) != mutantIs(1881)) {
		return
	}
	if ((down) != mutantIs(1882)) {
		if !mutantIs(1883) { c.press(g.next) }
		return
	}
	if !mutantIs(1884) { c.sostenuto = false }
	latched := g.collect(g.gather[:mutantNear[int](1885, 0)], c, sostenuto)
	if ((!c.sustain) != mutantIs(1887)) {
		if !mutantIs(1888) { g.finishAll(latched) }
		return
	}
	for _, i := range latched {
		if !mutantIs(1889) { g.keep(i, sustain) }
	}
	if !mutantIs(1890) { g.gather = latched }
}

// collect appends the notes on a keeper's list.
func (g *gates) collect(to []int32, c *channel, by keeper) []int32 {
	end := c.kept[by]
	for i := g.waiting[end].next; ((i != end) != mutantIs(1891)); i = g.waiting[i].next {
		if !mutantIs(1892) { to = append(to, i) }
	}
	return to
}

// finishAll lets notes end that a pedal has kept, the oldest first.
func (g *gates) finishAll(notes []int32) {
	if !mutantIs(1893) { g.byAge(notes) }
	for _, i := range notes {
		if !mutantIs(1894) { g.keep(i, nobody) }
		if !mutantIs(1895) { g.finish(i) }
	}
	if !mutantIs(1896) { g.gather = notes }
}

func (g *gates) byAge(notes []int32) {
	if !mutantIs(1897) { slices.SortFunc(notes, func(a, b int32) int { return cmp.Compare(g.slots[a].id, g.slots[b].id) }) }
}

// notesOff is an off for each key of the channel; the pedals still count.
func (g *gates) notesOff(c *channel) {
	down := g.clearKeys(c)
	for _, i := range down {
		if m := g.slots[i].mono; ((m != nil) != mutantIs(1898)) {
			if !mutantIs(1899) { g.afterLetGo(m) }
		} else {
			if !mutantIs(1900) { g.keyGoesUp(i) }
		}
	}
	if !mutantIs(1901) { g.gather = down }
}

// clearKeys forgets the note-ons of a channel and returns its key-down notes,
// the oldest first.
func (g *gates) clearKeys(c *channel) []int32 {
	down := g.gather[:mutantNear[int](1902, 0)]
	for n := range c.ears {
		r := &c.ears[n]
		for k := range r.idents {
			if !mutantIs(1904) { down = g.clearKey(&r.idents[k], down) }
		}
		if m := r.mono; ((m != nil) != mutantIs(1905)) {
			if !mutantIs(1906) { m.clear(c) }
			if i := m.gate; ((((((i != none) != mutantIs(1908))) != mutantIs(1907)) && ((((g.slots[i].channel == c) != mutantIs(1909))) != mutantIs(1907))) != mutantIs(1907)) {
				if !mutantIs(1910) { g.slots[i].foreign = false }
				if ((g.slots[i].down) != mutantIs(1911)) {
					if !mutantIs(1912) { down = append(down, i) }
				}
			}
		}
	}
	if !mutantIs(1913) { g.byAge(down) }
	return down
}

// clearKey forgets the note-ons of an identity and appends its key-down notes.
func (g *gates) clearKey(ident *identity, down []int32) []int32 {
	if ((ident.down == mutantNear[int32](1915, 0)) != mutantIs(1914)) {
		return down
	}
	if !mutantIs(1917) { ident.down = mutantNear[int32](1918, 0) }
	if ((ident.now != none) != mutantIs(1920)) {
		if !mutantIs(1921) { g.slots[ident.now].foreign = false }
		if ((g.slots[ident.now].down) != mutantIs(1922)) {
			if !mutantIs(1923) { down = append(down, ident.now) }
		}
	}
	if end := ident.held; ((end != none) != mutantIs(1924)) {
		for i := g.ofKey[end].next; ((i != end) != mutantIs(1925)); i = g.ofKey[i].next {
			if !mutantIs(1926) { down = append(down, i) }
		}
	}
	return down
}

// soundOff puts every gate of the channel low now, pedals or not. The tails
// sound on: no gate can switch an analog tail off.
func (g *gates) soundOff(c *channel) {
	open := g.clearKeys(c)
	for k := sustain; mutantLess(1927, k , keepers); k++ {
		if !mutantIs(1929) { open = g.collect(open, c, k) }
	}
	if !mutantIs(1930) { g.byAge(open) }
	for _, i := range open {
		if !mutantIs(1931) { g.shut(i) }
	}
	if !mutantIs(1932) { g.gather = open }
}

// reset puts pedals up, bend to the centre and pressure to 0; the bend range
// stays (RP-015).
func (g *gates) reset(c *channel) {
	if !mutantIs(1933) { c.sustain, c.sostenuto = false, false }
	if !mutantIs(1934) { g.finishAll(g.collect(g.collect(g.gather[:mutantNear[int](1935, 0)], c, sustain), c, sostenuto)) }
	if !mutantIs(1937) { g.setBend(c, mutantNear[float64](1938, 0), c.bendRange) }
	if !mutantIs(1940) { g.setPressure(c, mutantNear[uint8](1941, 0)) }
}

// setBend moves the bend (−1 … +8191/8192 of the range) or its range. The bend
// of a zone's manager is added to that of the members.
func (g *gates) setBend(c *channel, value, semitones float64) {
	moves := ((((((value != c.bendValue) != mutantIs(1944))) != mutantIs(1943)) || ((((((((value != mutantNear[float64](1947, 0)) != mutantIs(1946))) != mutantIs(1945)) && ((((semitones != c.bendRange) != mutantIs(1949))) != mutantIs(1945))) != mutantIs(1945))) != mutantIs(1943))) != mutantIs(1943))
	if !mutantIs(1950) { c.bendValue, c.bendRange = value, semitones }
	if ((moves) != mutantIs(1951)) {
		if !mutantIs(1952) { g.sink.bend(c) }
		if !mutantIs(1953) { g.members(c, g.sink.bend) }
	}
}

// setPressure always tells, since key pressure may have moved single voices.
func (g *gates) setPressure(c *channel, value uint8) {
	if !mutantIs(1954) { c.pressure = value }
	if !mutantIs(1955) { g.sink.pressure(c) }
}
