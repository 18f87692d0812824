package midi

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
)

// Signature is a time signature that holds from a tick on.
type Signature struct {
	Tick  Tick
	Beats int // in a bar, 1–255
	Unit  int // the beat as part of a whole note: 1, 2, 4 … 128
}

// MeterMap turns ticks into bars and beats. A beat is the unit of the
// signature's denominator, so 6/8 has six beats a bar. A signature always
// begins a bar: one in mid-bar cuts the bar before it short (common practice;
// a pickup written as a short first bar is bar 1).
//
// Where a beat is no whole number of ticks (a denominator that does not
// divide four times the division), the n-th beat of a signature begins at the
// first tick at or after its exact place.
//
// A song with an SMPTE division has no bars: there the bar stands for a
// second, counted from 1, and the beat for a frame in it, counted from 1.
// A rate of 29 counts thirty frames to the second, none dropped.
//
// The zero MeterMap is 4/4 with 500 ticks a quarter note.
type MeterMap struct {
	div        Division
	signatures []Signature
	segments   []meterSegment
}

// meterSegment is a stretch of one signature. Its beats are num/den ticks long.
type meterSegment struct {
	start    Tick
	bar      int // number of its first bar, from 1
	beats    uint64
	num, den uint64
}

// Position is a place in a song.
type Position struct {
	Bar  int  // from 1; the second from 1 in a song with an SMPTE division
	Beat int  // from 1, within the bar; the frame there
	Tick Tick // from 0, within the beat or frame
}

// String returns bar:beat:tick, such as "12:3:0".
func (p Position) String() string { return fmt.Sprintf("%d:%d:%d", p.Bar, p.Beat, p.Tick) }

// NewMeterMap makes the map of a song; until its first signature a song is in
// 4/4 (RP-001, "Time Signature"). Signatures may come in any order; of several
// at one tick the last counts. Signatures out of range are left out.
func NewMeterMap(d Division, signatures []Signature) MeterMap {
	m := MeterMap{div: d, signatures: tidySignatures(signatures)}
	m.segments = append(make([]meterSegment, 0, 1+len(m.signatures)), firstMeter(d))
	if d.SMPTE() {
		return m
	}
	for _, s := range m.signatures {
		m.add(s)
	}
	return m
}

// tidySignatures returns the signatures in the order of ticks, one a tick.
func tidySignatures(signatures []Signature) []Signature {
	kept := make([]Signature, 0, len(signatures))
	for _, s := range signatures {
		power := s.Unit > 0 && s.Unit&(s.Unit-1) == 0
		if s.Tick >= 0 && s.Beats >= 1 && s.Beats <= 255 && power && s.Unit <= 128 {
			kept = append(kept, s)
		}
	}
	slices.SortStableFunc(kept, func(a, b Signature) int { return cmp.Compare(a.Tick, b.Tick) })
	return lastPerTick(kept, func(s Signature) Tick { return s.Tick })
}

// lastPerTick keeps the last of the entries of each tick, in place.
func lastPerTick[T any](sorted []T, tick func(T) Tick) []T {
	kept := sorted[:0]
	for i, e := range sorted {
		if i+1 == len(sorted) || tick(sorted[i+1]) != tick(e) {
			kept = append(kept, e)
		}
	}
	return kept
}

// firstMeter returns the stretch from tick 0: 4/4, or seconds and frames.
func firstMeter(d Division) meterSegment {
	d = d.orDefault()
	switch d.Rate {
	case 0:
		return meterSegment{bar: 1, beats: 4, num: uint64(d.Ticks), den: 1}
	case 29:
		return meterSegment{bar: 1, beats: 30, num: uint64(d.Ticks), den: 1}
	}
	return meterSegment{bar: 1, beats: uint64(d.Rate), num: uint64(d.Ticks), den: 1}
}

// add appends a signature that is later than the last one.
func (m *MeterMap) add(s Signature) {
	last := &m.segments[len(m.segments)-1]
	next := meterSegment{
		start: s.Tick,
		bar:   1,
		beats: uint64(s.Beats),
		num:   4 * uint64(m.div.orDefault().Ticks),
		den:   uint64(s.Unit),
	}
	if s.Tick == last.start {
		*last = next
		return
	}
	next.bar = last.position(s.Tick-1).Bar + 1
	m.segments = append(m.segments, next)
}

// position returns the place of a tick that is in the segment.
func (s *meterSegment) position(t Tick) Position {
	n, _ := mulAddDiv(uint64(t-s.start), s.den, 0, s.num)
	return Position{
		Bar:  s.bar + int(uint64(n)/s.beats),
		Beat: 1 + int(uint64(n)%s.beats),
		Tick: t - s.start - s.beatStart(uint64(n)),
	}
}

// beatStart returns the first tick, from the segment's start, at or after the
// exact place of its n-th beat, from 0.
func (s *meterSegment) beatStart(n uint64) Tick {
	q, _ := mulAddDiv(n, s.num, s.den-1, s.den)
	return Tick(q)
}

// Division returns the division the map was made for.
func (m MeterMap) Division() Division { return m.div.orDefault() }

// Signatures returns the time signatures by tick, at most one a tick. The 4/4
// of a song that names none is not among them.
func (m MeterMap) Signatures() []Signature { return slices.Clone(m.signatures) }

// Position returns the bar, beat and tick of a tick; one below 0 counts as 0.
func (m MeterMap) Position(t Tick) Position {
	t = max(t, 0)
	return m.segment(func(s *meterSegment) bool { return s.start > t }).position(t)
}

// Beat returns the bar and the beat of a tick, both from 1: two and a half beats
// into the first bar are 1 and 3.5. A tick below 0 counts as 0.
func (m MeterMap) Beat(t Tick) (bar int, beat float64) {
	t = max(t, 0)
	s := m.segment(func(s *meterSegment) bool { return s.start > t })
	p := s.position(t)
	return p.Bar, float64(p.Beat) + float64(p.Tick)*float64(s.den)/float64(s.num)
}

// Bar returns the tick at which a bar begins; a number below 1 counts as 1.
func (m MeterMap) Bar(n int) Tick {
	n = max(n, 1)
	s := m.segment(func(s *meterSegment) bool { return s.bar > n })
	beat, _ := mulAddDiv(uint64(n-s.bar), s.beats, 0, 1)
	first := s.beatStart(uint64(beat))
	if first > math.MaxInt64-s.start {
		return math.MaxInt64
	}
	return s.start + first
}

// segment returns the last segment before the first that is beyond.
func (m *MeterMap) segment(beyond func(*meterSegment) bool) *meterSegment {
	n := sort.Search(len(m.segments), func(i int) bool { return beyond(&m.segments[i]) })
	if n == 0 {
		first := firstMeter(m.div)
		return &first
	}
	return &m.segments[n-1]
}
