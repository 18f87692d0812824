package hearing

import (
	"fmt"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// Run is a song that was played, or a part of it, maybe not as it was asked for: an
// edit, another release or unison, a recording of several.
type Run struct {
	Rules     study.Rules
	Reference *study.Reference // what it was to be played as
	Outcomes  []study.Outcome
	Cuts      []study.Cut
	// Origin is by part of Rules the part of what is asked whose keys it plays; nil where they
	// are the same.
	Origin []int
}

// origin is the part of what is asked that a part is.
func (r *Run) origin(part int) int {
	if r.Origin == nil {
		return part
	}
	return r.Origin[part]
}

// otherwise is a song that was to be played otherwise than asked.
type otherwise struct {
	shapes []shape // by part; those of what is asked have the same places among the rates
	rates  []float64
	notes  []intended // by alloc.NoteID of what is asked
}

// intended is what a note was to be played as.
type intended struct {
	contour
	voices float64
	out    bool          // it was left out
	from   time.Duration // when its level begins to differ; never where it does not
	own    alloc.NoteID  // in the reference of its run; alloc.NoNote where it was left out
}

// Match puts runs of a song beside what is asked for. Every note of theirs is one of
// what is asked, and begins when that does; several runs are heard
// together. What no run has is left out. All runs are by the rules of the first.
func (a *Asked) Match(runs ...Run) (Played, error) {
	if len(runs) == 1 && runs[0].Reference == a.Reference {
		return Played{Rules: runs[0].Rules, Outcomes: runs[0].Outcomes, Cuts: runs[0].Cuts}, nil
	}
	p := Played{Rules: runs[0].Rules, Outcomes: make([]study.Outcome, len(a.notes))}
	envelopes := append(append([]alloc.Envelope(nil), a.Reference.Envelopes...), runs[0].Reference.Envelopes...)
	shapes, rates := shapesOf(envelopes)
	o := &otherwise{shapes: shapes[len(a.shapes):], rates: rates, notes: make([]intended, len(a.notes))}
	for i := range o.notes {
		o.notes[i] = intended{out: true, own: alloc.NoNote, from: a.notes[i].start}
	}
	for i := range runs {
		if err := o.match(a, &p, &runs[i]); err != nil {
			return Played{}, err
		}
	}
	p.otherwise = o
	return p, nil
}

// match takes over one run.
func (o *otherwise) match(a *Asked, p *Played, r *Run) error {
	ids := make([]alloc.NoteID, len(r.Reference.Notes))
	first := 0
	for j := range r.Reference.Notes {
		n := &r.Reference.Notes[j]
		for first < len(a.notes) && a.Reference.Notes[first].Start < n.Start {
			first++
		}
		i := first // parts may come in another order where keys are split
		for i < len(a.notes) && !(o.notes[i].own == alloc.NoNote && sameNote(&a.Reference.Notes[i], n, r.origin(n.Part))) {
			i++
		}
		if i == len(a.notes) {
			return fmt.Errorf("note %d of what was played is none of what is asked", j)
		}
		ids[j], p.Outcomes[i] = alloc.NoteID(i), r.Outcomes[j]
		o.notes[i] = a.intend(i, n, &o.shapes[n.Part], voicesOf(&r.Rules.Config.Parts[n.Part]))
		o.notes[i].own = alloc.NoteID(j)
	}
	for _, c := range r.Cuts {
		c.Note = ids[c.Note]
		p.Cuts = append(p.Cuts, c)
	}
	return nil
}

// sameNote tells whether two notes are of one key that is struck at one time, and one of a part.
func sameNote(a, b *study.Note, part int) bool {
	return a.Start == b.Start && a.Key == b.Key && a.Part == part && a.Channel == b.Channel && a.Port == b.Port
}

// intend says as what a note was to be played. Its tail ends where that which is
// asked for does.
func (a *Asked) intend(i int, n *study.Note, s *shape, voices float64) intended {
	asked := &a.notes[i]
	x := intended{contour: asked.contour, voices: voices, from: never}
	x.shape, x.full, x.low = s, n.Full, n.End
	x.contour.end()
	was, now := asked.Envelope, s.Envelope
	was.Release, now.Release = 0, 0
	switch {
	case n.End <= n.Start:
		x.out, x.from = true, asked.start
	case was != now || x.full != asked.full:
		x.from = asked.start
	case x.low != asked.low || s.Release != asked.Release:
		x.from = min(x.low, asked.low)
	}
	return x
}

// leaveOut lists a note that nobody was to play.
func (l *listener) leaveOut(i int32, n *asked) {
	l.miss(piece{contour: &n.contour, from: n.start, to: n.stop, voices: n.voices, note: i}, LeftOut)
}

// alter lists what a note was to be played as in place of what is asked: with more or
// fewer voices, and at another level for as long as it has the voices that it got.
func (l *listener) alter(i int32, n *asked, x *intended, got float64, begins time.Duration) {
	if x.voices == n.voices && x.from >= n.stop {
		return
	}
	at := int32(-1)
	if l.each {
		at = int32(len(l.losses))
		l.losses = append(l.losses, loss{note: i, what: Altered, from: n.start})
		if x.voices == n.voices {
			l.losses[at].from = x.from
		}
	}
	l.altered[i] = at + 1
	if x.voices != n.voices {
		l.addTo(piece{contour: &n.contour, from: n.start, to: n.stop, voices: n.voices - x.voices, note: i, loss: at})
	}
	l.swap(i, n, x, got, begins)
}

// swap lets some voices of a note play as what it was to be played from a time on: of
// what is asked they are missing, and the other sounds. Below 0 they do so no more.
func (l *listener) swap(i int32, n *asked, x *intended, voices float64, from time.Duration) {
	if from = max(from, x.from); from >= n.stop {
		return
	}
	at := l.altered[i] - 1
	l.addTo(piece{contour: &n.contour, from: from, to: n.stop, voices: voices, note: i, loss: at})
	l.addTo(piece{contour: &x.contour, from: from, to: n.stop, voices: -voices, note: i, loss: at})
	l.changes = append(l.changes, from)
	for _, t := range [...]time.Duration{min(x.full, x.low), x.low} {
		if from < t && t < n.stop {
			l.changes = append(l.changes, t)
		}
	}
}

// addTo adds a piece of a loss that has several.
func (l *listener) addTo(x piece) {
	if x.loss >= 0 {
		l.losses[x.loss].pieces++
	}
	l.add(x)
}
