package routing

import "slices"

// A bank that goes to one interface as a whole.

// whole places what a bank still lacks on an interface, on one connector of
// CVs and one of gates where the bank is no larger than that. It places
// nothing and returns false where there are no such jacks, or where single
// lanes would cost less elsewhere. Where that is true of the further inputs of
// the voices only, these are left for later.
func (p *packer) whole(voices [][]*Lane, at int) bool {
	for _, further := range []bool{true, false} {
		if w := p.wanted(voices, at, further); w.thrifty(p, at) {
			return w.place(p, at)
		}
	}
	return false
}

// wanted is what a bank wants of one interface.
type wanted struct {
	lanes      []*Lane // voice by voice
	cvs, gates demand
	pairs      bool // of pitch and gate
}

// demand is how many jacks of one kind are wanted.
type demand struct {
	all    int
	single int // for lanes that make no pair of pitch and gate
	held   int // for lanes that a jack is kept for
}

// others is the demand that nothing is kept for.
func (d demand) others() int { return d.all - d.held }

func (p *packer) wanted(voices [][]*Lane, at int, further bool) *wanted {
	w := &wanted{}
	for _, lanes := range voices {
		where := anchor(lanes)
		if where >= 0 && where != at {
			continue
		}
		core := unplaced(lanes, true)
		w.pairs = w.pairs || len(core) == 2
		for _, l := range core {
			w.add(l, where < 0 && len(core) == 1, where == at)
		}
		if further {
			for _, l := range unplaced(lanes, false) {
				w.add(l, true, false)
			}
		}
	}
	return w
}

func (w *wanted) add(l *Lane, single, held bool) {
	d := &w.cvs
	if l.Gate {
		d = &w.gates
	}
	d.all++
	if single {
		d.single++
	}
	if held {
		d.held++
	}
	w.lanes = append(w.lanes, l)
}

// thrifty tells whether nothing loses more here than it would elsewhere.
func (w *wanted) thrifty(p *packer, at int) bool {
	if w.pairs && p.boxes[at].either() && slices.ContainsFunc(p.boxes, func(b *box) bool { return !b.either() && b.pairs() > 0 }) {
		return false
	}
	return p.thrifty(at, false, w.cvs.single) && p.thrifty(at, true, w.gates.single)
}

func (p *packer) thrifty(at int, gate bool, singles int) bool {
	here := p.boxes[at]
	if singles == 0 || !here.either() && here.surplus(gate) >= singles {
		return true
	}
	for i, b := range p.boxes {
		if i != at && b.bay(gate).room() > 0 {
			return false
		}
	}
	return true
}

// place gives the lanes their jacks, if there are any.
func (w *wanted) place(p *packer, at int) bool {
	b := p.boxes[at]
	cvs, gates := w.cvs, w.gates
	if b.either() {
		cvs, gates = demand{all: cvs.all + gates.all, held: cvs.held + gates.held}, demand{}
	}
	cvJacks, ok := b.cv.block(cvs.all)
	gateJacks, ok2 := b.gates.block(gates.all)
	if !ok || !ok2 || b.cv.room() < cvs.others() || b.gates.room() < gates.others() {
		return false
	}
	for _, l := range w.lanes {
		from := &cvJacks
		if l.Gate && !b.either() {
			from = &gateJacks
		}
		p.put(l, at, l.Gate, (*from)[0])
		*from = (*from)[1:]
		b.bay(l.Gate).front = l.Jack
	}
	b.cv.held -= cvs.held
	b.gates.held -= gates.held
	if w.pairs {
		p.at = max(p.at, slices.Index(p.order, at))
	}
	return true
}
