package routing

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
)

// What the rig says of jacks itself: pins and wires.

// jackKey names a jack; of an interface whose outputs give either, all count
// as CVs here.
type jackKey struct {
	box    int
	gate   bool
	number int
}

func (p *packer) key(j profiles.Jack) jackKey {
	return jackKey{j.Interface, j.Gate && !p.boxes[j.Interface].either(), j.Number}
}

// hold reserves the jacks that the rig names: those that wires come from, and
// then those of pins.
func (p *packer) hold() {
	for i := range p.rig.Wiring {
		p.holdWire(i)
	}
	for i := range p.rig.Pins {
		p.holdPin(&p.rig.Pins[i])
	}
	p.anchors()
}

// holdWire puts the lanes that a wire carries on its jack. A wire that carries
// none is a lane of its own. Of several jacks that an adder takes, the first one
// has the input's own lanes, and each further one a macro that moves it, in file
// order.
func (p *packer) holdWire(i int) {
	w := &p.rig.Wiring[i]
	if w.From.Interface < 0 || len(w.To) == 0 {
		return // from a module: the wires from jacks lead on through it; or a plug has opened it
	}
	carried, shared := false, false
	p.lanes.each(func(l *Lane) {
		t := carries(p.rig, w, l)
		if t == nil {
			return
		}
		adder := joiner(p.rig, w.From, t.Via)
		switch {
		case l.Wire < 0 && shared && l.Macro >= 0: // for the adder's next jack
		case l.Wire < 0:
			l.Wire, carried, shared = i, true, shared || adder >= 0
			p.holdOn(l, w.From)
		case adder >= 0 && adder == p.joinerOf(l):
		default:
			carried = true
			p.heldTwice(l, i)
		}
	})
	if !carried && p.holder[p.key(w.From)] == nil {
		p.holdOn(p.wireLane(i), w.From)
	}
}

// heldTwice speaks of a lane that another wire carries already, if that comes
// from another jack.
func (p *packer) heldTwice(l *Lane, i int) {
	first, w := &p.rig.Wiring[l.Wire], &p.rig.Wiring[i]
	if l.Macro >= 0 || p.key(first.From) == p.key(w.From) {
		return
	}
	p.find(JackHeldTwice, wirePath(i), w.Pos,
		Named("lane", l.Name), Named("first", p.jackName(first.From)), Named("second", p.jackName(w.From)))
}

// wireLane adds the lane of a wire that carries no other.
func (p *packer) wireLane(i int) *Lane {
	w := &p.rig.Wiring[i]
	names := make([]string, len(w.To))
	for n, t := range w.To {
		names[n] = targetName(p.rig, t)
	}
	name := strings.Join(names, "+")
	if joiner(p.rig, w.From, w.To[0].Via) >= 0 {
		name += " by " + p.jackName(w.From)
	}
	l := newLane(name, w.To[0].Input)
	l.Wire = i
	p.lanes.wires = append(p.lanes.wires, l)
	return l
}

// joiner is where outputs may meet on a way from a jack: the last adder or gate-OR, or a
// passive multiple that contacts lead to; atInput where it ends in a contact, −1 where they
// may not.
func joiner(rig *profiles.Rig, from profiles.Jack, via int) int {
	for _, at := range slices.Backward(rig.Way(via)) {
		if g := &rig.Gear[at]; g.Does.Joins() || g.Does == profiles.DoesPassive && g.Ins > 1 {
			return at
		}
	}
	if contact(rig, from, via) {
		return atInput
	}
	return -1
}

// atInput stands for the input itself, in which the plugs of contacts may meet.
const atInput = math.MaxInt

// contact tells whether what comes from a jack is a contact at the end of a way.
func contact(rig *profiles.Rig, from profiles.Jack, via int) bool {
	is := from.Gate && rig.Interfaces[from.Interface].Gate.STrig
	for _, at := range rig.Way(via) {
		switch rig.Gear[at].Does {
		case profiles.DoesPassive:
		default:
			is = rig.Gear[at].Does == profiles.DoesToShort
		}
	}
	return is
}

// joinerOf is the joiner on the way of the wire that carries a lane.
func (p *packer) joinerOf(l *Lane) int {
	w := &p.rig.Wiring[l.Wire]
	return joiner(p.rig, w.From, carries(p.rig, w, l).Via)
}

// carries is where a wire leads to the input of a lane, or to one of a macro's;
// nil if it does not. The pitch of a bank is its group jack where it has one,
// and otherwise all its voices'.
func carries(rig *profiles.Rig, w *profiles.Wire, l *Lane) *profiles.Target {
	for i := range w.To {
		t := &w.To[i]
		switch {
		case l.Macro >= 0:
			for _, own := range rig.Macros[l.Macro].To {
				if own.Bank == t.Bank && own.Voice == t.Voice && own.Input == t.Input {
					return t
				}
			}
		case t.Bank != l.Bank || t.Input != l.Input:
		case t.Voice == l.Voice, t.Voice < 0 && !isGroupJack(rig, *t):
			return t
		}
	}
	return nil
}

// isGroupJack tells whether a target is the common pitch jack of a bank.
func isGroupJack(rig *profiles.Rig, t profiles.Target) bool {
	return t.Voice < 0 && t.Input == pitchInput &&
		rig.Kinds[rig.Banks[t.Bank].Kind].GroupPitch != profiles.GroupNone
}

// holdPin puts a lane where a pin wants it. A jack that another lane holds is
// a finding, and the pin is kept all the same.
func (p *packer) holdPin(pin *profiles.Pin) {
	l := p.lanes.at(pin)
	switch {
	case l == nil:
		name := targetName(p.rig, pin.To)
		p.find(PinWithoutLane, pinPath(name), pin.Pos, Named("lane", name), Named("jack", p.jackName(pin.Jack)), Named("input", pin.To.Input))
	case l.Wire >= 0:
		if from := p.rig.Wiring[l.Wire].From; p.key(from) != p.key(pin.Jack) {
			p.find(JackHeldTwice, pinPath(l.Name), pin.Pos,
				Named("lane", l.Name), Named("jack", p.jackName(pin.Jack)), Named("wired", p.jackName(from)))
		}
	default:
		if other := p.holder[p.key(pin.Jack)]; other != nil {
			p.find(JackHeldTwice, pinPath(l.Name), pin.Pos,
				Named("lane", l.Name), Named("jack", p.jackName(pin.Jack)), Named("holder", other.Name))
		}
		p.holdOn(l, pin.Jack)
	}
}

// holdOn puts a lane on a jack that the rig names.
func (p *packer) holdOn(l *Lane, j profiles.Jack) {
	if key := p.key(j); p.holder[key] == nil {
		p.holder[key] = l
	}
	p.put(l, j.Interface, j.Gate, j.Number)
	l.Pinned = true
	if l.Gate == j.Gate || p.boxes[j.Interface].either() {
		return
	}
	found, want := "a gate jack", "a CV"
	if l.Gate {
		found, want = want, found
	}
	path := pinPath(l.Name)
	if l.Wire >= 0 {
		path = wirePath(l.Wire)
	}
	p.find(JackOfOtherKind, path, j.Pos, Named("lane", l.Name), Named("jack", p.jackName(j)), Named("kind", found), Named("needs", want))
}

// anchors keeps jacks for the other half of voices of which a pin or a wire
// holds the pitch or the gate: it has to be on the same interface.
func (p *packer) anchors() {
	for _, lanes := range p.lanes.voices {
		at := anchor(lanes)
		if at < 0 {
			continue
		}
		for _, l := range unplaced(lanes, true) {
			p.boxes[at].bay(l.Gate).held++
		}
	}
}

// anchor is the interface that has the pitch or the gate of a voice, or −1.
func anchor(lanes []*Lane) int {
	for _, l := range lanes {
		if l.core() && l.Fits() {
			return l.Interface
		}
	}
	return -1
}

func wirePath(i int) string { return fmt.Sprintf("wiring[%d]", i) }

// pinPath is the path of a pin, as profiles writes it.
func pinPath(name string) string { return "pins." + pinKey(name) }

func pinKey(name string) string {
	if strings.Contains(name, ".") {
		return `"` + name + `"`
	}
	return name
}

func (p *packer) jackName(j profiles.Jack) string {
	return jackName(p.rig, j.Interface, j.Gate, j.Number)
}

// jackName names a jack with a space for the point: main cv 21.
func jackName(rig *profiles.Rig, box int, gate bool, number int) string {
	kind := "cv"
	if gate {
		kind = "gate"
	}
	return fmt.Sprintf("%s %s %d", rig.Interfaces[box].Name, kind, number)
}

// CableName is what the cable out of a jack is called: cv12, gt3. Those of the
// rig's first interface go by the jack alone, those of all other sources by their
// name too: box2:cv12. No voice is called so, as no bank is cv or gt and no name
// has a colon.
func CableName(rig *profiles.Rig, source string, gate bool, jack int) string {
	name := "cv" + strconv.Itoa(jack)
	if gate {
		name = "gt" + strconv.Itoa(jack)
	}
	if len(rig.Interfaces) > 0 && rig.Interfaces[0].Name == source {
		return name
	}
	return source + ":" + name
}

// find adds a finding.
func (p *packer) find(code Code, where string, pos profiles.Pos, facts ...Fact) {
	f := New(code, where, facts...)
	f.Pos = pos
	p.findings = append(p.findings, f)
}
