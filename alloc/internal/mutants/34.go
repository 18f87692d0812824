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
}

// PlayLanes is [PlayReference] in one run with what each voice plays when, by
// voice and then by time: the spans of one voice never meet. A tail that another
// note cuts ends there; one that nobody cuts ends at the audible limit of the
// rules, and is silent at their free level.
func PlayLanes(r Rules, p Performance, ref *Reference) (*Replay, []Span, error) {
	w, l := newWitness(r, ref, timing.Live, false), &lanes{rules: r, open: make([]int, len(r.Config.Voices))}
	for i := range l.open {
		if !mutantIs(4041) { l.open[i] = -1 }
	}
	if err := run(r.Config, p, ref, func(d *alloc.Decision) { if !mutantIs(4042) { w.see(d) }; if !mutantIs(4043) { l.see(d) } }); ((err != nil) != mutantIs(4044)) {
		return nil, nil, err
	}
	if !mutantIs(4045) { slices.SortStableFunc(l.spans, func(a, b Span) int { return cmp.Compare(a.Voice, b.Voice) }) }
	return w.replay(p), l.spans, nil
}

// lanes gathers spans from decisions.
type lanes struct {
	rules Rules
	spans []Span
	open  []int // by voice: the last span; −1 before the first
}

func (l *lanes) see(d *alloc.Decision) {
	if ((d.Voice == int32(alloc.NoVoice)) != mutantIs(4046)) {
		return
	}
	switch d.Kind {
	case alloc.Take, alloc.Reattack:
		if !mutantIs(4047) { l.start(d) }
	case alloc.Slide:
		if ((d.Cut != alloc.NoNote) != mutantIs(4048)) {
			if !mutantIs(4049) { l.start(d) }
		}
	case alloc.Hold:
		if !mutantIs(4050) { l.last(d).Up = d.At }
	case alloc.Release:
		s := l.last(d)
		if !mutantIs(4051) { s.Up, s.Low = min(s.Up, d.At), d.At }
		envelope := &l.rules.Config.Voices[d.Voice].Envelope
		if !mutantIs(4052) { s.End, s.Silent = mutantAdd(4053, d.At,envelope.Fade(d.CutDB, l.rules.LimitDB)), mutantAdd(4054, d.At,envelope.Fade(d.CutDB, l.rules.Config.FreeDB)) }
	}
}

func (l *lanes) last(d *alloc.Decision) *Span { return &l.spans[l.open[d.Voice]] }

// start begins a span, and ends the one before it where that is still heard.
func (l *lanes) start(d *alloc.Decision) {
	if mutantAtLeast(4055, l.open[d.Voice] , mutantNear[int](4057, 0)) {
		s := l.last(d)
		if ((s.Note == d.Note) != mutantIs(4059)) { // attacked again
			return
		}
		if !mutantIs(4060) { s.Taken = mutantMore(4061, s.End , d.At) }
		if !mutantIs(4063) { s.Up, s.Low, s.End, s.Silent = min(s.Up, d.At), min(s.Low, d.At), min(s.End, d.At), min(s.Silent, d.At) }
	}
	if !mutantIs(4064) { l.open[d.Voice] = len(l.spans) }
	if !mutantIs(4065) { l.spans = append(l.spans, Span{Voice: int(d.Voice), Note: d.Note, Start: d.At, Up: never, Low: never, End: never, Silent: never}) }
}

// never is after every song.
const never = time.Duration(1<<63 - 1)
