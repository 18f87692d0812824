package opinion

import (
	"sort"
	"time"
)

type state int

const (
	silent  state = iota
	held          // the key is down
	pedal         // the key is up, a pedal keeps the gate high
	closing       // let go, but the minimum gate is not over
	tail          // gate low, not yet silent
)

// step is one change of a note's gate, in the order in which voices see it.
type step struct {
	at   time.Duration
	to   state // held: it begins; pedal; tail: the gate goes low
	note *Note
}

// gates follow keys and pedals. They know no voices: a key is counted whether or
// not its note still has one.
type gates struct {
	rules      Rules
	notes      []*Note
	log        []step
	open       map[ident]int
	sustain    map[[2]int]bool
	sostenuto  map[[2]int]bool
	owed       map[ident]int  // offs still to come of keys that mode messages ended
	layouts    map[int]layout // by port, where RPN 6 has set one
	managed    map[int]int
	counted    int            // the last message in managed
	bereft     map[ident]bool // of what is owed, some by messages to a manager
	orphans    int
	unfinished []*Note // gate high, in the order of their ons
}

func newGates(r Rules) *gates {
	return &gates{
		rules: r, open: map[ident]int{}, owed: map[ident]int{},
		sustain: map[[2]int]bool{}, sostenuto: map[[2]int]bool{},
		layouts: map[int]layout{}, managed: map[int]int{}, bereft: map[ident]bool{},
	}
}

func (g *gates) hear(e event) {
	g.expire(e.at)
	switch {
	case e.kind == on && g.listens(e):
		g.strike(e)
	case e.kind == on:
		g.owed[e.key()]++ // nobody is to hear its off, but that is no orphan
	case e.kind == off:
		g.lift(e)
	case e.kind == rezone:
		g.rezone(e)
	default:
		g.control(e)
	}
	g.expire(e.at)
}

func (g *gates) strike(e event) {
	n := &Note{Port: e.port, Channel: e.channel, Key: e.number, Velocity: e.value, Start: e.at, Zero: e.zero,
		Bereft: g.bereft[e.key()], state: held, Voice: -1}
	g.open[e.key()]++
	if g.rules.SameKey == Counted || g.rules.SameKey == FirstOff {
		for _, o := range g.sounding(func(o *Note) bool { return o.key() == e.key() }) {
			o.Superseded, n.again, n.latched = true, o, o.latched
			if o.state == held {
				o.KeyUp = e.at
			}
			o.KeyUp, o.End, o.state = min(o.KeyUp, e.at), e.at, silent
		}
	}
	g.notes = append(g.notes, n)
	g.unfinished = append(g.unfinished, n)
	g.log = append(g.log, step{e.at, held, n})
}

func (g *gates) sounding(which func(*Note) bool) []*Note {
	var list []*Note
	for _, n := range g.unfinished {
		if n.state != silent && which(n) {
			list = append(list, n)
		}
	}
	return list
}

func (g *gates) lift(e event) {
	if g.open[e.key()] == 0 {
		// Reading: an off whose on a mode message has answered is no orphan, for that
		// on is in the file.
		if g.owed[e.key()] > 0 {
			g.owed[e.key()]--
		} else if g.listens(e) {
			g.orphans++
		}
		if g.owed[e.key()] == 0 {
			delete(g.bereft, e.key())
		}
		return
	}
	g.open[e.key()]--
	down := g.sounding(func(n *Note) bool { return n.key() == e.key() && n.state == held })
	switch {
	case len(down) == 0 || g.rules.SameKey == Counted && g.open[e.key()] > 0:
	case g.rules.SameKey == LIFO:
		g.keyUp(down[len(down)-1], e.at)
	default:
		g.keyUp(down[0], e.at)
	}
}

// keyUp is the off of one note. Reading: a note that a pedal keeps is on the
// pedal at once, also within its minimum gate.
func (g *gates) keyUp(n *Note, at time.Duration) {
	n.KeyUp = at
	if g.kept(n) {
		n.state = pedal
		g.log = append(g.log, step{at, pedal, n})
		return
	}
	g.close(n, at)
}

// kept: by the sustain pedal of its channel, or by sostenuto. Reading: sostenuto
// latches the gate that a key holds at its press. A note that follows on that gate
// is kept too; one that gets a voice of its own, because it is stacked or because
// all sound off put the latched gate low, is not.
func (g *gates) kept(n *Note) bool { return g.sustain[n.line()] || n.latched }

// close puts the gate low, but not before the minimum gate is over. Reading: no
// pedal catches a note meanwhile.
func (g *gates) close(n *Note, at time.Duration) { g.closeAt(n, max(at, n.Start+g.rules.MinGate)) }

// closeNow is all sound off, which puts gates low now. Reading: also within the
// minimum gate, and one that waits for the end of that.
func (g *gates) closeNow(n *Note, at time.Duration) { g.closeAt(n, at) }

func (g *gates) closeAt(n *Note, at time.Duration) {
	if n.state == held {
		n.KeyUp = at
	}
	n.KeyUp, n.End, n.state = min(n.KeyUp, at), at, closing
}

// expire puts the gates low whose time has come: before everything else that
// happens at that instant, for an interval does not hold its own end.
func (g *gates) expire(at time.Duration) {
	due := g.sounding(func(n *Note) bool { return n.state == closing && n.End <= at })
	sort.SliceStable(due, func(i, j int) bool { return due[i].End < due[j].End })
	for _, n := range due {
		n.state = silent
		g.log = append(g.log, step{n.End, tail, n})
	}
	g.unfinished = g.sounding(func(*Note) bool { return true })
}

// control hears pedals (down from 64 on) and mode messages.
func (g *gates) control(e event) {
	line := e.line()
	here := func(n *Note) bool { return n.line() == line }
	down := e.value >= 64
	switch {
	case e.number == 64:
		g.sustain[line] = down
	case e.number == 66 && down && !g.sostenuto[line]:
		g.sostenuto[line] = true
		for _, n := range g.sounding(here) {
			if n.state == held {
				n.latched = true
			}
		}
	case e.number == 66 && !down, e.number == 121:
		g.sostenuto[line] = false
		for _, n := range g.sounding(here) {
			n.latched = false
		}
		g.sustain[line] = g.sustain[line] && e.number == 66
	case e.clearsKeys():
		for k, n := range g.open {
			if k.line() == line && n > 0 {
				g.owed[k] += n
				g.bereft[k] = g.bereft[k] || e.copyOf > 0
			}
		}
		forget(g.open, e)
		for _, n := range g.sounding(here) {
			if n.state == held && e.copyOf > 0 && e.copyOf != g.counted {
				g.counted = e.copyOf
				g.managed[e.number]++
			}
			if e.number == 120 {
				g.closeNow(n, e.at)
			} else if n.state == held {
				g.keyUp(n, e.at)
			}
		}
	}
	for _, n := range g.sounding(here) {
		if n.state == pedal && !g.kept(n) {
			g.close(n, e.at)
		}
	}
}

// finish extends what never ended to the end of the song.
func (g *gates) finish(end time.Duration) {
	g.expire(end)
	for _, n := range g.sounding(func(n *Note) bool { return n.state != closing }) {
		if n.state == held {
			n.Stuck = true
		}
		g.close(n, end)
	}
	g.expire(end + g.rules.MinGate)
}
