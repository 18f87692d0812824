package alloc

func (g *gates) newSlot() int32 {
	if n := len(g.unused); n > 0 {
		i := g.unused[n-1]
		g.unused = g.unused[:n-1]
		return i
	}
	g.slots = append(g.slots, slot{id: NoNote})
	g.waiting.grow()
	return g.ofKey.grow()
}

// newList returns the end of a new list of slots.
func (g *gates) newList() int32 {
	end := g.newSlot()
	g.waiting.reset(end)
	g.ofKey.reset(end)
	return end
}

func (g *gates) free(i int32) {
	g.slots[i].id = NoNote
	g.unused = append(g.unused, i)
}
