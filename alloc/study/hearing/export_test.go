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

// Thorough is On with every stretch worked out.
func (c *Curve) Thorough(voices int) (Verdict, error) {
	p, err := c.play(c.rehearsal(), voices)
	if err != nil {
		return Verdict{}, err
	}
	l := c.Asked.listener(p, false)
	l.gather(p)
	l.pass()
	return l.verdict(l.judged().Measure), nil
}

// Unmasked is the losses of Count where none waits.
func Unmasked(a *Asked, p Played) []Loss {
	l := a.listener(p, false)
	l.each = true
	l.gather(p)
	l.pass()
	runs := l.judged().runs
	l.judgeIn(1, func(l *listener) *single {
		s := l.newSingle(widen(runs))
		s.waits = 0
		return s
	})
	h := &Heard{Parts: make([]Verdict, len(a.parts))}
	h.list(l, p)
	return h.Losses
}

// Grouped is the losses of Hear where they are judged in so many groups, and how many they are.
func Grouped(a *Asked, p Played, groups int) ([]Loss, int) {
	l := a.listener(p, false)
	l.each, l.keeps = true, true
	l.gather(p)
	l.pass()
	runs := l.judged().runs
	l.gatherWrong(p)
	l.judgeIn(groups, func(l *listener) *single { return l.newSingle(widen(runs)) })
	h := &Heard{Parts: make([]Verdict, len(a.parts))}
	h.list(l, p)
	return h.Losses, len(l.losses)
}
