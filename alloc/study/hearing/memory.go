package hearing

import (
	"encoding/binary"
	"math"
	"slices"
	"sync"
	"time"
)

// memory keeps what was heard of spans of a song in which something is missing, from when
// the first piece begins until nothing of it can be told any more. What is heard of a span
// follows from its pieces and from what is asked for, so that a search hears each only
// once, however many of what it tries leave the same there. Several goroutines may share
// it.
type memory struct {
	mu    sync.Mutex
	spans map[uint64][]*span // by what begins it
	size  int                // stretches that are kept
	whole map[string]Verdict // by all spans of a song, one after the other
	next  uint32             // number of a span
}

// mostKept is how many stretches are kept, of 32 bytes, where a change counts as three; all
// are forgotten when there are more.
const mostKept = 1 << 20

// span is what was heard of some events, up to a time at which it was forgotten.
type span struct {
	number uint32
	sum    uint64
	events []change
	odd    []time.Duration // what begins steps too, about its time
	end    time.Duration
	heard  []series // one after the other
}

// change is an event with all that its piece is. What else its contour has is that of the
// note, since of the same rates.
type change struct {
	at, from, to, full, low, stop time.Duration
	after, gain, voices           float64
	first                         int // of its rates
	note                          int32
}

// remembers makes ready for a pass that goes by the memory; the rates of the pass have to be
// those of what is asked.
func (l *listener) remembers(m *memory) {
	l.memory = m
	n := len(l.events)
	l.changed, l.sums = slices.Grow(l.changed[:0], n), append(slices.Grow(l.sums[:0], n+1), 0)
	l.numbers, l.covered = l.numbers[:0], 0
	sum := uint64(0)
	for _, e := range l.events {
		x := &l.pieces[e.piece]
		c := change{e.at, x.from, x.to, x.full, x.low, x.stop, x.after, x.gain, x.voices, x.first, x.note}
		sum = sum*sumBase + c.sum()
		l.changed, l.sums = append(l.changed, c), append(l.sums, sum)
	}
	l.powers = append(slices.Grow(l.powers[:0], n+1), 1)
	for range l.events {
		l.powers = append(l.powers, l.powers[len(l.powers)-1]*sumBase)
	}
}

// room is how many stretches of spans there is room for at once.
const room = 4096

// putSpan appends a stretch to the span.
func (l *listener) putSpan(x stretch) {
	if len(l.span) == cap(l.span) {
		l.full, l.span = append(l.full, l.span), make(series, 0, room)
	}
	l.span = l.span.put(x)
}

// sumBase is an odd number of 64 bits without a pattern: 2⁶⁴ ÷ the golden ratio.
const sumBase = 0x9E3779B97F4A7C15

// sum is a number that tells changes apart as a rule.
func (c *change) sum() uint64 {
	h := uint64(c.at)
	for _, v := range [...]uint64{uint64(c.from), uint64(c.to), uint64(c.low), math.Float64bits(c.after), math.Float64bits(c.voices), uint64(c.note)} {
		h = (h ^ h>>29 ^ v) * sumBase
	}
	return h ^ h>>32
}

// sumOf is the sum of some of the changes, from one on.
func (l *listener) sumOf(from, n int) uint64 { return l.sums[from+n] - l.sums[from]*l.powers[n] }

// recall takes over what was heard of the span that begins next, if it was heard before.
func (l *listener) recall() bool {
	if l.memory == nil || l.next == len(l.events) {
		return false
	}
	s := l.memory.find(l)
	if s == nil {
		return false
	}
	for _, part := range s.heard {
		for _, x := range part {
			l.soFar.put(x)
		}
	}
	l.next += len(s.events)
	l.met(s)
	return true
}

// met notes a span that the song goes through.
func (l *listener) met(s *span) {
	l.numbers = binary.LittleEndian.AppendUint32(l.numbers, s.number)
	l.covered += len(s.events)
}

// before is the verdict of a song all of whose spans were heard in this order before.
func (l *listener) before() (v Verdict, ok bool) {
	for l.next = 0; l.next < len(l.events); {
		s := l.memory.find(l)
		if s == nil {
			return v, false
		}
		l.next += len(s.events)
		l.met(s)
	}
	l.memory.mu.Lock()
	defer l.memory.mu.Unlock()
	v, ok = l.memory.whole[string(l.numbers)]
	return v, ok
}

// conclude keeps the verdict of a song, all of which is spans.
func (l *listener) conclude(v Verdict) {
	m := l.memory
	if l.covered < len(l.events) {
		return // something is never forgotten
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.whole != nil {
		m.whole[string(l.numbers)] = v
	}
}

func (m *memory) find(l *listener) *span {
	m.mu.Lock()
	list := m.spans[l.changed[l.next].sum()]
	m.mu.Unlock()
	for _, s := range list {
		if n := len(s.events); l.next+n <= len(l.events) && l.sumOf(l.next, n) == s.sum && s.is(l) {
			return s
		}
	}
	return nil
}

// is tells whether what comes next is a span, and nothing else comes into it.
func (s *span) is(l *listener) bool {
	next := l.changed[l.next:]
	for i, c := range s.events {
		if next[i] != c {
			return false
		}
	}
	return (len(next) == len(s.events) || next[len(s.events)].at > s.end) && slices.Equal(s.odd, l.oddAbout(next[0].at, s.end))
}

// oddAbout are the instants that begin steps too, from that in which a span begins to that
// in which it ends.
func (l *listener) oddAbout(from, end time.Duration) []time.Duration {
	low, _ := slices.BinarySearch(l.changes, from-step)
	high, _ := slices.BinarySearch(l.changes, end+step)
	return l.changes[low:high]
}

// remember keeps the span that ends now.
func (l *listener) remember(end time.Duration) {
	if l.memory == nil {
		return
	}
	s := &span{sum: l.sumOf(l.first, l.next-l.first), end: end}
	s.events = append(s.events, l.changed[l.first:l.next]...)
	s.odd = append(s.odd, l.oddAbout(s.events[0].at, end)...)
	s.heard, l.span = append(slices.Clone(l.full), slices.Clip(l.span)), l.span[len(l.span):]
	m, key := l.memory, s.events[0].sum()
	m.mu.Lock()
	defer m.mu.Unlock()
	m.next++
	s.number = m.next
	l.met(s)
	for _, part := range s.heard {
		m.size += len(part)
	}
	if m.size += 3 * len(s.events); m.spans == nil || m.size > mostKept {
		m.spans, m.whole, m.size = map[uint64][]*span{}, map[string]Verdict{}, 0
	}
	m.spans[key] = append(m.spans[key], s)
}
