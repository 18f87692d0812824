package routing

import (
	"cmp"
	"slices"

	"choirloft/profiles"
)

// The packing rules.
//
// Jacks that wires and pins name are reserved. Then macros take their homes on
// the CVs (see sharedOrders). Then the banks come in file order, each with its
// voices and after them its own lanes. Voices go upward: the lowest free jacks
// above those of earlier banks that keep the bank on one connector, voice by
// voice; where there are none, the lowest free jacks there are, so that what
// was passed over before is used at last. Lanes of a bank go downward.
//
// What does growth move? A bank is placed by what stands before it, and by
// macros, pins and wires. So a further bank and a further lane of the last bank
// never move an old line, not even if they do not fit. A further macro moves no
// old line as long as its home is free; [MacroWouldMove] says beforehand if the
// next one would. More is not to be had: where two CVs are left, a voice and a
// lane fit, and a voice and a macro, and a lane and a macro. If growing never
// moved anything and whatever fits by number were placed, the three would need
// a jack each.
//
// What fits? Pitch and gate of a voice go to one interface: in file order, but
// first to interfaces with CVs and gates of their own, since outputs that give
// either may still be wanted for anything. Everything else may go to any. An
// interface has room for so many pairs, and CVs or gates over. A pair takes a
// pair, wherever it goes; a single CV takes one that is over, and a pair's only
// where none is (see box.cost). So no step gives away more than it must, and
// whatever can be placed at all is placed: on one interface, whatever the jacks
// suffice for by number. To take a wish away then never makes a plan fail, as
// what can be placed with it can be placed without. Only where outputs that give
// either stand beside CVs and gates can a step give away too much, since what
// is to come decides which of the two it should have left; tests have found no
// rig there that fails for want of a wish.

// packer fills the interfaces of a rig.
type packer struct {
	rig      *profiles.Rig
	lanes    *lanesOf
	boxes    []*box
	holder   map[jackKey]*Lane // of jacks that the rig names: who came first
	order    []int             // the interfaces in the order in which pairs fill them
	at       int               // the place in order that pairs have come to
	findings []Finding
}

// pack gives jacks to lanes. A voice in leaders shares the gate of the one that
// is its value, and wants none; nil for none.
func pack(rig *profiles.Rig, leaders map[int]int) *packer {
	p := &packer{rig: rig, lanes: wishes(rig), boxes: newBoxes(rig), holder: map[jackKey]*Lane{}}
	for _, either := range []bool{false, true} {
		for i, b := range p.boxes {
			if b.either() == either {
				p.order = append(p.order, i)
			}
		}
	}
	for voice := range leaders {
		p.lanes.voices[voice] = slices.DeleteFunc(p.lanes.voices[voice], func(l *Lane) bool { return l.Gate })
	}
	p.hold()
	for _, l := range p.lanes.macros {
		p.share(l, -1)
	}
	for i := range rig.Banks {
		p.bank(i)
	}
	return p
}

// put gives a jack to a lane.
func (p *packer) put(l *Lane, box int, gate bool, jack int) {
	bay := p.boxes[box].bay(gate)
	bay.take(jack)
	l.Interface, l.GateJack, l.Jack = box, gate, jack
	l.Connector, l.Place = (jack-1)/bay.connector+1, (jack-1)%bay.connector+1
}

// bank places the voices of a bank, and then its lanes: on the interface of its
// first voice, if that costs no more than another.
func (p *packer) bank(i int) {
	b := &p.rig.Banks[i]
	all := p.lanes.voices[b.First : b.First+b.Size]
	voices := withoutShared(all, b.Shared)
	for _, at := range p.candidates(voices) {
		if p.whole(voices, at) {
			break
		}
	}
	own := -1
	for _, lanes := range voices {
		if b.Shared != profiles.SharedNone && own >= 0 {
			p.besides(lanes, own)
		}
		p.voice(lanes)
		if own < 0 {
			own = home(lanes)
		}
	}
	p.shareFirst(all, b.Shared)
	for _, l := range p.lanes.banks[i] {
		p.share(l, own)
	}
}

// home is the interface of a voice: that of its pitch or gate, otherwise of
// any lane; −1 where it has none.
func home(lanes []*Lane) int {
	if at := anchor(lanes); at >= 0 {
		return at
	}
	for _, l := range lanes {
		if l.Fits() {
			return l.Interface
		}
	}
	return -1
}

// candidates lists the interfaces that a whole bank may go to, the best first:
// those from where pairs have come to, or, for voices that have no pairs of
// pitch and gate, those where least is lost.
func (p *packer) candidates(voices [][]*Lane) []int {
	if slices.ContainsFunc(voices, func(lanes []*Lane) bool { return len(unplaced(lanes, true)) == 2 }) {
		return p.order[min(p.at, len(p.order)):]
	}
	gate := slices.ContainsFunc(voices, func(lanes []*Lane) bool {
		return slices.ContainsFunc(unplaced(lanes, true), func(l *Lane) bool { return l.Gate })
	})
	order := slices.Sorted(slices.Values(p.order))
	slices.SortStableFunc(order, func(a, b int) int { return p.cheaper(gate, a, b) })
	return order
}

// cheaper compares interfaces by what a CV, or a gate, taken alone costs.
func (p *packer) cheaper(gate bool, a, b int) int {
	rankA, okA := p.boxes[a].cost(gate)
	rankB, okB := p.boxes[b].cost(gate)
	switch {
	case okA && !okB:
		return -1
	case okB && !okA:
		return 1
	}
	return cmp.Compare(rankA, rankB)
}

// unplaced lists the lanes of a voice without a jack: pitch and gate, or the
// others.
func unplaced(lanes []*Lane, core bool) (left []*Lane) {
	for _, l := range lanes {
		if !l.Fits() && l.core() == core {
			left = append(left, l)
		}
	}
	return left
}

// voice places what a voice still lacks. A voice whose pitch and gate do not
// fit gets nothing else.
func (p *packer) voice(lanes []*Lane) {
	at, left := anchor(lanes), unplaced(lanes, true)
	switch {
	case len(left) == 0:
	case at >= 0:
		p.other(left[0], at)
	case len(left) == 1:
		p.single(left[0], -1)
	default:
		p.pair(left)
	}
	if len(unplaced(lanes, true)) > 0 {
		return
	}
	for _, l := range unplaced(lanes, false) {
		p.single(l, home(lanes))
	}
}

// other places the half of a voice whose other half is on an interface. The
// jack was kept for it.
func (p *packer) other(l *Lane, at int) {
	bay := p.boxes[at].bay(l.Gate)
	bay.held--
	if jack := bay.lowest(); jack > 0 {
		p.put(l, at, l.Gate, jack)
	}
}

// pair places pitch and gate on the first interface that has room for both.
func (p *packer) pair(left []*Lane) {
	place := slices.IndexFunc(p.order, func(at int) bool { return p.boxes[at].pairs() > 0 })
	if place < 0 {
		return
	}
	at := p.order[place]
	p.at = max(p.at, place)
	for _, l := range left {
		p.put(l, at, l.Gate, p.boxes[at].bay(l.Gate).lowest())
	}
}

// withoutShared are the lanes that want a jack where voices share that of the first.
func withoutShared(voices [][]*Lane, shared profiles.Shared) [][]*Lane {
	if shared == profiles.SharedNone {
		return voices
	}
	left := slices.Clone(voices)
	for i := 1; i < len(left); i++ {
		left[i] = slices.DeleteFunc(slices.Clone(left[i]), func(l *Lane) bool { return l.Input == shared.String() && !l.Fits() })
	}
	return left
}

// besides places the pitch or the gate that a voice has for itself, and not from the jack of
// the first, on the interface of that: they are moved together.
func (p *packer) besides(lanes []*Lane, at int) {
	if left := unplaced(lanes, true); len(left) == 1 && anchor(lanes) < 0 && p.boxes[at].bay(left[0].Gate).room() > 0 {
		p.put(left[0], at, left[0].Gate, p.boxes[at].bay(left[0].Gate).lowest())
	}
}

// shareFirst puts the lanes that voices share on the jack of the first voice.
func (p *packer) shareFirst(voices [][]*Lane, shared profiles.Shared) {
	if shared == profiles.SharedNone {
		return
	}
	of := func(lanes []*Lane) *Lane {
		return lanes[slices.IndexFunc(lanes, func(l *Lane) bool { return l.Input == shared.String() })]
	}
	first := of(voices[0])
	for _, lanes := range voices[1:] {
		if l := of(lanes); first.Fits() && !l.Fits() {
			p.put(l, first.Interface, first.GateJack, first.Jack)
		}
	}
}

// single places a lane upward where least is lost, and among equals on its
// voice's own interface.
func (p *packer) single(l *Lane, own int) {
	if at := p.cheapest(l.Gate, own); at >= 0 {
		p.put(l, at, l.Gate, p.boxes[at].bay(l.Gate).lowest())
	}
}

// share places a lane of a bank, or a macro, downward.
func (p *packer) share(l *Lane, own int) {
	if l.Fits() {
		return
	}
	at := p.cheapest(l.Gate, own)
	if at < 0 {
		return
	}
	bay := p.boxes[at].bay(l.Gate)
	p.put(l, at, l.Gate, bay.first(bay.order(l.Macro >= 0)))
}

// cheapest is the interface on which a single CV, or gate, costs least; among
// equals the own one, then the first. It is −1 where there is none.
func (p *packer) cheapest(gate bool, own int) int {
	best, least := -1, 0
	for at, b := range p.boxes {
		rank, ok := b.cost(gate)
		if ok && (best < 0 || rank < least || rank == least && at == own) {
			best, least = at, rank
		}
	}
	return best
}
