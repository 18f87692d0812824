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

// change adds to the counts of a bank. A tail that begins or ends changes none of the
// others: who calls says what else the voice was or becomes.
func (o *bankOrder) change(bank uint16, busy, free, tail int) {
	b := &o.banks[bank]
	o.out(bank)
	b.busy += busy
	b.free += free
	b.tail += tail
	o.in(bank)
}

// out takes a bank out of both, if it is there.
func (o *bankOrder) out(bank uint16) {
	busy := o.banks[bank].busy
	o.known.remove(busy, int32(bank))
	o.unknown.remove(busy, int32(bank))
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
func (f *fleet) changeFree(v *voice, free int) {
	for _, s := range f.shares[v.rackBank] {
		if s.order == v.pool.banks {
			s.order.change(s.bank, -free, free, 0)
		} else {
			s.order.change(s.bank, -free, 0, 0)
		}
	}
}

// busy returns how many voices are busy of the bank that voice i is in.
func (f *fleet) busy(i int32) int {
	v := &f.voices[i]
	return v.pool.banks.banks[v.bank].busy
}

// serving counts the voices of a bank that some pool has.
func (f *fleet) serving(bank int) int {
	n := 0
	for i := range f.voices {
		if f.rack[i].Bank == bank && f.voices[i].pool != nil {
			n++
		}
	}
	return n
}

// equipBanks gives a pool the order of its banks.
func (f *fleet) equipBanks(p *pool) {
	var firsts []int32
	last, inBank, largest := -1, map[int]int{}, 0
	for place, i := range p.voices {
		if b := f.rack[i].Bank; b != last {
			firsts = append(firsts, int32(place))
			last = b
		}
		f.voices[i].bank = uint16(len(firsts) - 1)
	}
	for i := range f.rack {
		b := f.rack[i].Bank
		inBank[b]++
		largest = max(largest, inBank[b])
	}
	p.banks = newBankOrder(firsts, largest)
	for n, first := range firsts {
		b := f.rack[p.voices[first]].Bank
		p.banks.banks[n].busy = f.serving(b)
		f.shares[b] = append(f.shares[b], share{order: p.banks, bank: uint16(n)})
	}
}
