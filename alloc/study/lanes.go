package study

import (
	"cmp"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/timing"
)

// Span is one note on one voice: from Start the key is down, from Up a pedal
// keeps the gate high, from Low the tail fades, at End it can no longer be heard,
// and at Silent the voice is free again; or the voice is taken before. Start ≤ Up
// ≤ Low ≤ End ≤ Silent, as long as the free level is not above the audible limit;
// what a note has not has no length.
type Span struct {
	Voice  int // index
	Note   alloc.NoteID
	Start  time.Duration
	Up     time.Duration
	Low    time.Duration
	End    time.Duration
	Silent time.Duration
	Taken  bool // another note took the voice at End
	// Missed is by how many cents the voice was off at Start, as its range ends; 0 for none.
	// Pitch is then what it was given, in keys.
	Missed, Pitch float64
}

// PlayLanes is [PlayReference] in one run with what each voice plays when, by
// voice and then by time: the spans of one voice never meet. A tail that another
// note cuts ends there; one that nobody cuts ends at the audible limit of the
// rules, and is silent at their free level.
func PlayLanes(r Rules, p Performance, ref *Reference) (*Replay, []Span, error) {
	w, l := newWitness(r, ref, timing.Live, false), &lanes{rules: r, open: make([]int, len(r.Config.Voices))}
	for i := range l.open {
		l.open[i] = -1
	}
	if err := run(r.Config, p, ref, func(d *alloc.Decision) { w.see(d); l.see(d) }); err != nil {
		return nil, nil, err
	}
	slices.SortStableFunc(l.spans, func(a, b Span) int { return cmp.Compare(a.Voice, b.Voice) })
	return w.replay(p), l.spans, nil
}

// lanes gathers spans from decisions.
type lanes struct {
	rules Rules
	spans []Span
	open  []int // by voice: the last span; −1 before the first
}

func (l *lanes) see(d *alloc.Decision) {
	if d.Voice == int32(alloc.NoVoice) {
		return
	}
	switch d.Kind {
	case alloc.Take, alloc.Reattack:
		l.start(d)
	case alloc.Slide:
		if d.Cut != alloc.NoNote {
			l.start(d)
		}
	case alloc.Hold:
		l.last(d).Up = d.At
	case alloc.Release:
		s := l.last(d)
		s.Up, s.Low = min(s.Up, d.At), d.At
		envelope := &l.rules.Config.Voices[d.Voice].Envelope
		s.End, s.Silent = d.At+envelope.Fade(d.CutDB, l.rules.LimitDB), d.At+envelope.Fade(d.CutDB, l.rules.Config.FreeDB)
	}
}

func (l *lanes) last(d *alloc.Decision) *Span { return &l.spans[l.open[d.Voice]] }

// start begins a span, and ends the one before it where that is still heard.
func (l *lanes) start(d *alloc.Decision) {
	if l.open[d.Voice] >= 0 {
		s := l.last(d)
		if s.Note == d.Note { // attacked again
			return
		}
		s.Taken = s.End > d.At
		s.Up, s.Low, s.End, s.Silent = min(s.Up, d.At), min(s.Low, d.At), min(s.End, d.At), min(s.Silent, d.At)
	}
	l.open[d.Voice] = len(l.spans)
	s := Span{Voice: int(d.Voice), Note: d.Note, Start: d.At, Up: never, Low: never, End: never, Silent: never}
	if d.Missed != 0 {
		s.Missed, s.Pitch = d.Missed, d.Pitch
	}
	l.spans = append(l.spans, s)
}

// never is after every song.
const never = time.Duration(1<<63 - 1)
