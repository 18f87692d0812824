package alloc

// bankOrder sorts the banks of a pool by how many of their voices are busy:
// HELD, PEDAL or TAIL, which is all that are not FREE.
type bankOrder struct {
	banks []bankState
	// known holds the banks with a FREE voice in the pool, unknown those with
	// a FREE or TAIL voice, both by their number of busy voices.
	known, unknown *buckets
}

type bankState struct {
	first      int32 // place of its first voice in the pool
	busy       int   // of the whole bank, in service
	free, tail int   // in this pool
}

func newBankOrder(firsts []int32, largest int) *bankOrder {
	o := &bankOrder{known: newBuckets(largest+1, len(firsts)), unknown: newBuckets(largest+1, len(firsts))}
	for _, f := range firsts {
		o.banks = append(o.banks, bankState{first: f})
	}
	return o
}

// change adds to the counts of a bank.
func (o *bankOrder) change(bank uint16, busy, free int) {
	b := &o.banks[bank]
	o.out(bank)
	b.busy += busy
	b.free += free
	o.in(bank)
}

// changeTail adds to the tails of a bank; whether they are busy is not its
// business.
func (o *bankOrder) changeTail(bank uint16, tail int) {
	b := &o.banks[bank]
	if b.free > 0 || b.tail > 0 && b.tail+tail > 0 {
		b.tail += tail
		return
	}
	o.out(bank)
	b.tail += tail
	o.in(bank)
}

func (o *bankOrder) out(bank uint16) {
	b := &o.banks[bank]
	if b.free > 0 {
		o.known.remove(b.busy, int32(bank))
	}
	if b.free+b.tail > 0 {
		o.unknown.remove(b.busy, int32(bank))
	}
}

func (o *bankOrder) in(bank uint16) {
	b := &o.banks[bank]
	if b.free > 0 {
		o.known.add(b.busy, int32(bank))
	}
	if b.free+b.tail > 0 {
		o.unknown.add(b.busy, int32(bank))
	}
}

// share is where a bank stands in one of the pools that its voices are in.
type share struct {
	order *bankOrder
	bank  uint16
}

// changeFree counts a voice in or out of the free ones of its bank, in every
// pool that has a voice of that bank.
func (e *Engine) changeFree(v *voice, free int) {
	for _, s := range e.shares[v.rackBank] {
		if s.order == v.pool.banks {
			s.order.change(s.bank, -free, free)
		} else {
			s.order.change(s.bank, -free, 0)
		}
	}
}
