package opinion

// Zone is a zone of per-note channels (MPE, M1-100-UM): a manager, channel 1 of
// the lower zone or 16 of the upper, and the members next to it.
type Zone struct {
	Port    int // -1 for all
	Upper   bool
	Members int // 1 to 15
}

// layout says of each channel of a port who manages the zone that it is in,
// maybe itself; nobody outside of zones.
type layout [16]int

const nobody = -1

// give makes a zone of a manager and the members next to it. What channels it had
// before and has no more are in no zone; those of the other zone that it takes
// are lost to that, and a manager who is left without members manages no more.
func (l *layout) give(manager, members int) {
	l.free(manager)
	for i := 0; i <= members && members > 0; i++ {
		if manager == 0 {
			l[i] = manager
		} else {
			l[15-i] = manager
		}
	}
	for _, m := range []int{0, 15} {
		if len(l.members(m)) == 0 {
			l.free(m)
		}
	}
}

func (l *layout) free(manager int) {
	for c := range l {
		if l[c] == manager {
			l[c] = nobody
		}
	}
}

func (l *layout) members(manager int) []int {
	var list []int
	for c, m := range l {
		if m == manager && c != manager {
			list = append(list, c)
		}
	}
	return list
}

// begin is the layout of a port before RPN 6 has said anything.
func (r Rules) begin(port int) layout {
	var l layout
	for c := range l {
		l[c] = nobody
	}
	for _, z := range r.Zones {
		if z.Port < 0 || z.Port == port {
			l.give(map[bool]int{true: 15}[z.Upper], z.Members)
		}
	}
	return l
}

// zoned writes out what zones mean. Behind a message that a manager gets for the
// whole zone stand copies of it, one for each member: pedals, mode messages and
// the reset of controllers. Where RPN 6 sets a zone, the new layout stands in the
// place of its data entry.
//
// Reading: without a part on per-note channels RPN 6 is nothing. Where there is
// one it counts on channels 1 and 16 of every port, and only up to 15 members.
func zoned(events []event, r Rules) []event {
	if len(r.Zones) == 0 {
		return events
	}
	var out []event
	ports := map[int]*layout{}
	chosen := map[[2]int]*[2]int{} // RPN by line, high and low; none if absent
	for i, e := range events {
		l := ports[e.port]
		if l == nil {
			first := r.begin(e.port)
			l, ports[e.port] = &first, &first
		}
		if setsZone(e, chosen) {
			l.give(e.channel, e.value)
			e.kind, e.layout = rezone, *l
		}
		out = append(out, e)
		if e.kind != control || !forTheZone[e.number] {
			continue
		}
		for _, c := range l.members(e.channel) {
			e.channel, e.copyOf = c, i+1
			out = append(out, e)
		}
	}
	return out
}

// forTheZone are the controllers that a manager gets for all members.
var forTheZone = map[int]bool{64: true, 66: true, 120: true, 121: true, 123: true, 124: true, 125: true, 126: true, 127: true}

// setsZone follows the selection of registered parameters (MIDI 1.0, table III a)
// and tells whether an event enters data into number 6 of a manager. Reading: a
// half of another parameter's number takes both halves away.
func setsZone(e event, chosen map[[2]int]*[2]int) bool {
	if e.kind != control {
		return false
	}
	c := chosen[e.line()]
	if c == nil {
		c = &[2]int{127, 127}
		chosen[e.line()] = c
	}
	switch e.number {
	case 101:
		c[0] = e.value
	case 100:
		c[1] = e.value
	case 98, 99, 121:
		*c = [2]int{127, 127}
	case 6:
		return *c == [2]int{0, 6} && e.value < 16 && (e.channel == 0 || e.channel == 15)
	}
	return false
}

// listens tells whether the part hears notes of a channel, as zones stand.
func (g *gates) listens(e event) bool {
	if len(g.rules.Zones) == 0 {
		return !g.rules.Deaf[e.channel]
	}
	manager := g.layout(e.port)[e.channel]
	for _, z := range g.rules.Zones {
		if (z.Port < 0 || z.Port == e.port) && manager == map[bool]int{true: 15}[z.Upper] {
			return true
		}
	}
	return false
}

func (g *gates) layout(port int) layout {
	if l, ok := g.layouts[port]; ok {
		return l
	}
	return g.rules.begin(port)
}

// rezone has zones change. Reading: nothing ends by that. A channel that comes to
// a manager has the pedals that are down there, and sostenuto latches nothing by
// it; one that goes keeps its own as they are.
func (g *gates) rezone(e event) {
	before := g.layout(e.port)
	g.layouts[e.port] = e.layout
	for c, manager := range e.layout {
		if manager == nobody || manager == c || manager == before[c] {
			continue
		}
		member, from := [2]int{e.port, c}, [2]int{e.port, manager}
		g.sustain[member] = g.sustain[member] || g.sustain[from]
		g.sostenuto[member] = g.sostenuto[member] || g.sostenuto[from]
	}
}
