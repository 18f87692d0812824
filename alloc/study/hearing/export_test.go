package hearing

// Again is On, as if nothing were known.
func (c *Curve) Again(voices int) (Verdict, error) {
	clear(c.played)
	return c.On(voices)
}

// Forget empties the memory.
func (a *Asked) Forget() { a.memory.spans, a.memory.whole, a.memory.size = nil, nil, 0 }

// Kept is how many spans are kept.
func (a *Asked) Kept() (n int) {
	for _, list := range a.memory.spans {
		n += len(list)
	}
	return n
}
