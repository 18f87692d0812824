package midi

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"time"
)

// DefaultMicros is the tempo, in microseconds a quarter note, of a song until
// its first tempo change (RP-001, "Set Tempo"): 120 quarter notes a minute.
const DefaultMicros = 500_000

// TempoChange is a tempo that holds from a tick on.
type TempoChange struct {
	Tick   Tick
	Micros int // microseconds a quarter note, 1–16 777 215
}

// TempoMap turns ticks into time and back. It is exact: each change of tempo
// is kept with its time as a whole number of nanoseconds and the rest as a
// fraction, so that nothing adds up however many changes there are.
//
// The zero TempoMap has ticks of one millisecond.
type TempoMap struct {
	div      Division
	changes  []TempoChange
	segments []tempoSegment
}

// tempoSegment is a stretch of one tempo. It starts at base + rest/den
// nanoseconds, and a tick of it lasts num/den.
type tempoSegment struct {
	start Tick
	base  int64
	rest  uint64
	num   uint64
	den   uint64
}

// NewTempoMap makes the map of a song. Changes may come in any order; of
// several at one tick the last counts. Changes out of range (ticks below 0,
// tempi outside 1–16 777 215) are left out. With an SMPTE division the
// changes are kept, but have no effect.
func NewTempoMap(d Division, changes []TempoChange) TempoMap {
	m := TempoMap{div: d, changes: tidyTempi(changes)}
	m.segments = append(make([]tempoSegment, 0, 1+len(m.changes)), firstSegment(d))
	if d.SMPTE() {
		return m
	}
	for _, c := range m.changes {
		m.add(c)
	}
	return m
}

// tidyTempi returns the changes in the order of their ticks, one a tick.
func tidyTempi(changes []TempoChange) []TempoChange {
	kept := make([]TempoChange, 0, len(changes))
	for _, c := range changes {
		if c.Tick >= 0 && c.Micros >= 1 && c.Micros <= 0xFFFFFF {
			kept = append(kept, c)
		}
	}
	slices.SortStableFunc(kept, func(a, b TempoChange) int { return cmp.Compare(a.Tick, b.Tick) })
	return lastPerTick(kept, func(c TempoChange) Tick { return c.Tick })
}

// firstSegment returns the stretch from tick 0 at the default tempo.
func firstSegment(d Division) tempoSegment {
	num, den := d.orDefault().tickLength(DefaultMicros)
	return tempoSegment{num: num, den: den}
}

// add appends a change that is no earlier than the last one.
func (m *TempoMap) add(c TempoChange) {
	last := &m.segments[len(m.segments)-1]
	num, den := m.div.orDefault().tickLength(c.Micros)
	if c.Tick == last.start {
		last.num = num
		return
	}
	base, rest := last.exact(c.Tick)
	m.segments = append(m.segments, tempoSegment{c.Tick, base, rest, num, den})
}

// exact returns the time of a tick as whole nanoseconds and a rest over den.
func (s *tempoSegment) exact(t Tick) (int64, uint64) {
	q, r := mulAddDiv(uint64(t-s.start), s.num, s.rest, s.den)
	if s.base > math.MaxInt64-q {
		return math.MaxInt64, 0
	}
	return s.base + q, r
}

// at returns the time of a tick, rounded half up.
func (s *tempoSegment) at(t Tick) time.Duration {
	whole, rest := s.exact(t)
	if 2*rest >= s.den && whole < math.MaxInt64 {
		whole++
	}
	return time.Duration(whole)
}

// tick returns the largest tick whose rounded time is no later than at, which
// must not be before the segment's start.
//
// round(x) ≤ a where 2x < 2a + 1, so with x = (n·num + rest)/den the largest n
// is ⌊(den·(2a + 1) − 2·rest − 1) / (2·num)⌋.
func (s *tempoSegment) tick(at time.Duration) Tick {
	a := uint64(int64(at) - s.base)
	n := mulSubDiv(s.den, 2*a+1, 2*s.rest+1, 2*s.num)
	if n > math.MaxInt64-int64(s.start) {
		return math.MaxInt64
	}
	return s.start + Tick(n)
}

// Division returns the division the map was made for.
func (m TempoMap) Division() Division { return m.div.orDefault() }

// Changes returns the tempo changes by tick, at most one a tick. The default
// tempo is not among them.
func (m TempoMap) Changes() []TempoChange { return slices.Clone(m.changes) }

// At returns the time of a tick from the start of the song, rounded to the
// nearest nanosecond from the exact value (halves up). A tick below 0 counts
// as 0; what is too long for a Duration is the longest one.
func (m TempoMap) At(t Tick) time.Duration {
	t = max(t, 0)
	s := m.segment(func(s *tempoSegment) bool { return s.start > t })
	return s.at(t)
}

// Tick returns the largest tick whose time, as At gives it, is no later than
// the time asked for; 0 where that is negative.
func (m TempoMap) Tick(at time.Duration) Tick {
	at = max(at, 0)
	s := m.segment(func(s *tempoSegment) bool { return s.at(s.start) > at })
	return s.tick(at)
}

// segment returns the last segment before the first that is beyond.
func (m *TempoMap) segment(beyond func(*tempoSegment) bool) *tempoSegment {
	n := sort.Search(len(m.segments), func(i int) bool { return beyond(&m.segments[i]) })
	if n == 0 {
		first := firstSegment(m.div)
		return &first
	}
	return &m.segments[n-1]
}

// TempoCursor gives the times of ticks that come mostly in rising order, at a
// cost that does not depend on the number of tempo changes.
type TempoCursor struct {
	m       *TempoMap
	current tempoSegment
	next    int // index of the segment after the current one
}

// Cursor returns a cursor at the start of the song.
func (m TempoMap) Cursor() *TempoCursor {
	c := &TempoCursor{m: &m}
	c.rewind()
	return c
}

// rewind puts the cursor to the start of the song.
func (c *TempoCursor) rewind() {
	c.current, c.next = firstSegment(c.m.div), 0
	if len(c.m.segments) > 0 {
		c.current, c.next = c.m.segments[0], 1
	}
}

// At returns what [TempoMap.At] returns. A tick before the one asked for last
// may make the cursor start over.
func (c *TempoCursor) At(t Tick) time.Duration {
	t = max(t, 0)
	if t < c.current.start {
		c.rewind()
	}
	for c.next < len(c.m.segments) && c.m.segments[c.next].start <= t {
		c.current = c.m.segments[c.next]
		c.next++
	}
	return c.current.at(t)
}
