package midi

import "math"

// cursor is where the reading of a track stands: at pos, behind the delta time
// of the event due at tick next.
type cursor struct {
	pos, end int
	next     Tick
	at       Tick   // of the last event read
	events   int    // channel messages read
	index    uint16 // of the track
	port     Port
	running  uint8 // running status, 0 for none
	kept     uint8 // running status that a meta event or sysex cancelled, 0 for none
	done     bool  // nothing more can be read
}

// turn is when it is a cursor's turn: its next tick, then its place among the
// cursors, in one number to compare.
type turn uint64

// never is the turn of a cursor that is done.
const never turn = math.MaxUint64

// lastTick is the last tick of a song. A delta time (28 bits) further on, a
// tick still fits into a turn.
const lastTick Tick = 1<<47 - 1

func turnOf(tick Tick, place int) turn { return turn(tick)<<16 | turn(place) }

func (t turn) tick() Tick { return Tick(t >> 16) }
func (t turn) place() int { return int(t & 0xFFFF) }

// tournament finds the earliest of several cursors. It is a binary tree in an
// array: the turns of n cursors are the leaves n … 2n − 1, node i holds the
// earlier one of nodes 2i and 2i + 1, and node 1 the earliest.
type tournament []turn

func newTournament(cursors []cursor) tournament {
	n := len(cursors)
	t := make(tournament, 2*n)
	for i := range cursors {
		t[n+i] = cursors[i].turn(i)
	}
	for i := n - 1; i > 0; i-- {
		t[i] = min(t[2*i], t[2*i+1])
	}
	return t
}

// turn returns when it is the turn of a cursor, given its place.
func (c *cursor) turn(place int) turn {
	if c.done {
		return never
	}
	return turnOf(c.next, place)
}

// first returns the earliest turn.
func (t tournament) first() turn { return t[1] }

// rival returns the earliest turn of all cursors but one.
func (t tournament) rival(place int) turn {
	earliest := never
	for i := len(t)/2 + place; i > 1; i /= 2 {
		earliest = min(earliest, t[i^1])
	}
	return earliest
}

// set puts a cursor's turn on.
func (t tournament) set(place int, to turn) {
	i := len(t)/2 + place
	t[i] = to
	for ; i > 1; i /= 2 {
		t[i/2] = min(t[i], t[i^1])
	}
}

// merge decodes from whichever track is earliest, of those at one tick the
// one with the lowest number, and from the same one for as long as it stays so.
func (r *reader) merge(cursors []cursor) {
	t := newTournament(cursors)
	for t.first() != never {
		place := t.first().place()
		c, rival := &cursors[place], t.rival(place)
		until := rival.tick()
		if place < rival.place() {
			until++
		}
		if c.next > r.limit {
			r.warn(c.pos, "song of more than 146 years or 2^47 ticks: the rest of the track is ignored")
			c.done = true
		} else {
			r.advance(c, min(until, r.limit+1))
		}
		t.set(place, c.turn(place))
	}
}

// advance decodes the events of a track that are before the tick until, or
// some of them, but one at least.
func (r *reader) advance(c *cursor, until Tick) {
	if !r.slow {
		r.messages(c, until)
	}
	if c.next < until {
		r.event(c)
	}
}
