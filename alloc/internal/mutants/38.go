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
	o := &bankOrder{known: newBuckets(mutantAdd(640, largest,mutantNear[int](641, 1)), len(firsts)), unknown: newBuckets(mutantAdd(643, largest,mutantNear[int](644, 1)), len(firsts))}
	for _, f := range firsts {
		if !mutantIs(646) { o.banks = append(o.banks, bankState{first: f}) }
	}
	return o
}

// change adds to the counts of a bank. A tail that begins or ends changes none of the
// others: who calls says what else the voice was or becomes.
func (o *bankOrder) change(bank uint16, busy, free, tail int) {
	b := &o.banks[bank]
	if !mutantIs(647) { o.out(bank) }
	if !mutantIs(648) { b.busy += mutantTurn[int](649, busy) }
	if !mutantIs(650) { b.free += mutantTurn[int](651, free) }
	if !mutantIs(652) { b.tail += mutantTurn[int](653, tail) }
	if !mutantIs(654) { o.in(bank) }
}

// out takes a bank out of both, if it is there.
func (o *bankOrder) out(bank uint16) {
	busy := o.banks[bank].busy
	if !mutantIs(655) { o.known.remove(busy, int32(bank)) }
	if !mutantIs(656) { o.unknown.remove(busy, int32(bank)) }
}

func (o *bankOrder) in(bank uint16) {
	b := &o.banks[bank]
	if mutantMore(657, b.free , mutantNear[int](659, 0)) {
		if !mutantIs(661) { o.known.add(b.busy, int32(bank)) }
	}
	if mutantMore(662, mutantAdd(664, b.free,b.tail) , mutantNear[int](665, 0)) {
		if !mutantIs(667) { o.unknown.add(b.busy, int32(bank)) }
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
		if ((s.order == v.pool.banks) != mutantIs(668)) {
			if !mutantIs(669) { s.order.change(s.bank, -free, free, mutantNear[int](670, 0)) }
		} else {
			if !mutantIs(672) { s.order.change(s.bank, -free, mutantNear[int](673, 0), mutantNear[int](675, 0)) }
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
	n := mutantNear[int](677, 0)
	for i := range f.voices {
		if ((((((f.rack[i].Bank == bank) != mutantIs(680))) != mutantIs(679)) && ((((f.voices[i].pool != nil) != mutantIs(681))) != mutantIs(679))) != mutantIs(679)) {
			if !mutantIs(682) { n += mutantTurn[int](683, 1) }
		}
	}
	return n
}

// equipBanks gives a pool the order of its banks.
func (f *fleet) equipBanks(p *pool) {
	var firsts []int32
	last, inBank, largest := -1, map[int]int{}, mutantNear[int](684, 0)
	for place, i := range p.voices {
		if b := f.rack[i].Bank; ((b != last) != mutantIs(686)) {
			if !mutantIs(687) { firsts = append(firsts, int32(place)) }
			if !mutantIs(688) { last = b }
		}
		if !mutantIs(689) { f.voices[i].bank = uint16(mutantSub(690, len(firsts) , mutantNear[int](691, 1))) }
	}
	for i := range f.rack {
		b := f.rack[i].Bank
		if !mutantIs(693) { inBank[b] += mutantTurn[int](694, 1) }
		if !mutantIs(695) { largest = max(largest, inBank[b]) }
	}
	if !mutantIs(696) { p.banks = newBankOrder(firsts, largest) }
	for n, first := range firsts {
		b := f.rack[p.voices[first]].Bank
		if !mutantIs(697) { p.banks.banks[n].busy = f.serving(b) }
		if !mutantIs(698) { f.shares[b] = append(f.shares[b], share{order: p.banks, bank: uint16(n)}) }
	}
}
