package alloc

// bankOrder sorts the banks of a pool by how many of their voices are busy:
// HELD, PEDAL or TAIL.
type bankOrder struct {
	banks []bankState
	// known holds the banks with a FREE voice, unknown those with a FREE or
	// TAIL voice, both by their number of busy voices.
	known, unknown *buckets
}

type bankState struct {
	first            int32 // place of its first voice in the pool
	busy, free, tail int
}

func newBankOrder(firsts []int32, largest int) *bankOrder {
	o := &bankOrder{known: newBuckets(largest+1, len(firsts)), unknown: newBuckets(largest+1, len(firsts))}
	for _, f := range firsts {
		o.banks = append(o.banks, bankState{first: f})
	}
	return o
}

func (o *bankOrder) clear() {
	o.known.clear()
	o.unknown.clear()
	for i := range o.banks {
		o.banks[i] = bankState{first: o.banks[i].first}
	}
}

// change adds to the counts of a bank.
func (o *bankOrder) change(bank uint16, busy, free, tail int) {
	was := o.banks[bank]
	b := &o.banks[bank]
	b.busy += busy
	b.free += free
	b.tail += tail
	o.move(o.known, bank, was, was.free > 0, b.free > 0)
	o.move(o.unknown, bank, was, was.free+was.tail > 0, b.free+b.tail > 0)
}

func (o *bankOrder) move(in *buckets, bank uint16, was bankState, before, after bool) {
	busy := o.banks[bank].busy
	if before == after && was.busy == busy {
		return
	}
	if before {
		in.remove(was.busy, int32(bank))
	}
	if after {
		in.add(busy, int32(bank))
	}
}

// share is where a bank stands in one of the pools that its voices are in.
type share struct {
	order *bankOrder
	bank  uint16
}

// changeBusy counts a voice in or out of its bank's busy ones, in every pool
// that has a voice of that bank; tail counts it among the tails of its own.
func (e *Engine) changeBusy(v *voice, busy, tail int) {
	p := v.pool
	if p.banks == nil {
		return
	}
	for _, s := range e.shares[e.rack[v.pool.voices[v.place]].Bank] {
		if s.order == p.banks {
			s.order.change(s.bank, busy, 0, tail)
		} else {
			s.order.change(s.bank, busy, 0, 0)
		}
	}
}
