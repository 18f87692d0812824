package hearing

import (
	"cmp"
	"context"
	"slices"
	"time"

	"choirloft/alloc"
)

// Heard says what is heard of the differences between a song as asked and as
// played.
type Heard struct {
	Whole   Verdict
	Parts   []Verdict // each beside what was played
	Moments []Moment  // in which something is heard, in the order of time
	// OfParts are the moments of each part, in which something is heard by its verdict,
	// with its own losses.
	OfParts [][]Moment
	// Course is what is heard of the whole from step to step of [Step]: the largest
	// difference, in dB to 0.1, 0 where none is heard.
	Course []float64
	Losses []Loss // in the order of the notes, and of What; heard or not
	// WrongFaint and WrongPlain count the notes whose wrong pitch is heard, which no
	// number of voices would cure: they are in nothing else here but Losses.
	WrongFaint, WrongPlain int
}

// Verdict sums up a song or a part.
type Verdict struct {
	Measure
	ShareFaint, SharePlain float64 // of the song, 0–1
	// Losses counts those that are heard, each by itself, and Plainly those of them
	// that are heard plainly.
	Losses, Plainly int
}

// Loss is what is wrong with a note, judged by itself: what was played, and the
// same with this one thing put right.
type Loss struct {
	Note alloc.NoteID // of what is asked
	// Played is the note in the reference of the run that it is of; NoNote where it
	// was left out. See Asked.Match.
	Played alloc.NoteID
	What   What
	Starts bool // the note's start is missing or wrong, not its end
	// Heard is false below what the ear takes; then Worst is left at 0.
	Heard, Plain bool
	Measure
	// Rank orders the losses that are heard, starts before ends: Loud, and for a
	// start that is missing at least as if it were so for half a second. A rule of
	// ranking, no measurement.
	Rank float64
}

// Moment is a time in which something is heard.
type Moment struct {
	From, To time.Duration
	Worst    float64 // dB, to 0.1
	BandHz   float64 // the centre of the band in which most is missing
	Losses   []int   // in Heard.Losses, those that are heard then
}

// Hear says what is heard of a song that was played. Each loss is judged by itself, by as
// many goroutines as there are processors: the same comes of it however many.
func Hear(a *Asked, p Played) *Heard { return hear(context.Background(), a, p, true) }

// HearWhile is Hear for as long as somebody waits for it: where ctx ends it returns its error.
func HearWhile(ctx context.Context, a *Asked, p Played) (*Heard, error) {
	h := hear(ctx, a, p, true)
	return h, ctx.Err()
}

// Count is Hear without parts, moments and wrong pitches: the whole song and its losses.
func Count(a *Asked, p Played) *Heard { return hear(context.Background(), a, p, false) }

// hear does it; what it returns is worth nothing once ctx has ended.
func hear(ctx context.Context, a *Asked, p Played, all bool) *Heard {
	l := a.listener(p, all && len(a.parts) > 1)
	l.each, l.keeps, l.ended = true, all, func() bool { return ctx.Err() != nil }
	l.gather(p)
	l.pass()
	whole := l.judged()
	if l.byPart {
		l.hearParts()
	}
	h := &Heard{Whole: a.verdict(whole.Measure), Parts: make([]Verdict, len(a.parts))}
	runs := make([][]run, len(a.parts))
	for i := range h.Parts {
		h.Parts[i], runs[i] = h.Whole, whole.runs
		if l.byPart {
			j := a.Model.Ear.judge(true)
			j.average(l.ofPart[i])
			h.Parts[i], runs[i] = a.verdict(j.Measure), j.runs
		}
	}
	if all {
		l.gatherWrong(p)
	}
	l.judgeEach(whole.runs)
	h.list(l, p)
	if !all {
		h.Parts = nil
		return h
	}
	h.Moments, h.Course = h.moments(l, l.all, whole.runs, everyPart), l.Model.Ear.course(l.all)
	for i := range runs {
		s := l.all
		if l.byPart {
			s = l.ofPart[i]
		}
		h.OfParts = append(h.OfParts, h.moments(l, s, runs[i], i))
	}
	return h
}

// Of is what is heard of one part, beside what was played: its verdict as the whole,
// and its moments. The losses stay those of all parts; there is no course.
func (h *Heard) Of(part int) *Heard {
	of := *h
	of.Whole, of.Moments, of.Course = h.Parts[part], h.OfParts[part], nil
	return &of
}

// Whole is what Hear says of the whole song, but for the losses by themselves: it
// takes a fraction of the time.
func Whole(a *Asked, p Played) Verdict {
	l := a.whole(p)
	defer a.idle.Put(l)
	l.gather(p)
	if l.memory = nil; !slices.Equal(l.mix.rates, a.rates) {
		l.pass()
		return a.verdict(l.judged().Measure)
	}
	l.remembers(&a.memory)
	v, ok := l.before()
	if !ok {
		l.numbers, l.covered = l.numbers[:0], 0
		l.pass()
		v = a.verdict(l.judged().Measure)
		l.conclude(v)
	}
	return v
}

// verdict adds the shares.
func (a *Asked) verdict(m Measure) Verdict {
	v := Verdict{Measure: m}
	if end := a.Reference.End; end > 0 {
		v.ShareFaint, v.SharePlain = min(1, float64(m.Faint)/float64(end)), min(1, float64(m.Plain)/float64(end))
	}
	return v
}

// list takes over what was judged, and counts it.
func (h *Heard) list(l *listener, p Played) {
	slices.SortStableFunc(l.losses, func(x, y loss) int { return cmp.Or(cmp.Compare(x.note, y.note), cmp.Compare(x.what, y.what)) })
	h.Losses = make([]Loss, len(l.losses))
	ear := l.Model.Ear
	for i := range l.losses {
		y := &l.losses[i]
		n := &l.notes[y.note]
		x := Loss{Note: alloc.NoteID(y.note), Played: p.own(y.note), What: y.what, Starts: y.what == WrongPitch || y.from < n.start+p.Rules.Config.MinGate}
		if x.Heard = y.heard.Worst >= ear.Faint; x.Heard {
			x.Measure, x.Plain, x.Rank = y.heard.Measure, y.heard.Worst >= ear.Plain, y.heard.Loud
			if x.Starts && y.what != WrongPitch {
				x.Rank = max(x.Rank, float64((x.Worst-1)*missingStart))
			}
		}
		h.Losses[i] = x
		h.count(x, &h.Parts[l.Reference.Notes[y.note].Part])
	}
}

// own is a note in the reference of the run that it is of.
func (p *Played) own(note int32) alloc.NoteID {
	if p.otherwise == nil {
		return alloc.NoteID(note)
	}
	return p.otherwise.notes[note].own
}

// missingStart is for how many seconds a missing start counts at least.
const missingStart = 0.5

func (h *Heard) count(x Loss, part *Verdict) {
	switch {
	case !x.Heard:
	case x.What == WrongPitch:
		h.WrongFaint++
		if x.Plain {
			h.WrongPlain++
		}
	default:
		for _, v := range [2]*Verdict{&h.Whole, part} {
			v.Losses++
			if x.Plain {
				v.Plainly++
			}
		}
	}
}

// everyPart stands for the place of a part where all are meant.
const everyPart = -1

// moments makes moments of runs of a series, with the losses of a part.
func (h *Heard) moments(l *listener, s series, runs []run, part int) (list []Moment) {
	var waiting, open []int // losses that are heard, by when they are first; those whose time has come
	for i := range l.losses {
		y := &l.losses[i]
		if its := part == everyPart || l.Reference.Notes[y.note].Part == part; its && h.Losses[i].Heard && y.what != WrongPitch {
			waiting = append(waiting, i)
		}
	}
	slices.SortStableFunc(waiting, func(i, j int) int { return cmp.Compare(l.losses[i].heard.first, l.losses[j].heard.first) })
	at := 0
	for _, r := range runs {
		m := Moment{From: r.from, To: r.to, Worst: round(r.db)}
		for at < len(s) && s[at].to <= r.from-half {
			at++
		}
		m.BandHz = loudest(s[at:], r.to+half)
		for ; len(waiting) > 0 && l.losses[waiting[0]].heard.first <= r.to; waiting = waiting[1:] {
			open = append(open, waiting[0])
		}
		open = slices.DeleteFunc(open, func(i int) bool { return l.losses[i].heard.last < r.from })
		if len(open) > 0 {
			m.Losses = slices.Sorted(slices.Values(open))
		}
		list = append(list, m)
	}
	return list
}

// loudest is the centre of the band of what is most of a series before a time.
func loudest(s series, end time.Duration) (hz float64) {
	most := 0.0
	for _, x := range s {
		if x.from >= end {
			break
		}
		if loud := x.db * seconds(x.to-x.from); loud > most {
			most, hz = loud, BandHz(int(x.band))
		}
	}
	return hz
}

// Ranked returns the places in Heard.Losses of those that are heard, as they
// should be listed: starts first, and by Rank.
func (h *Heard) Ranked() []int {
	var list []int
	for i := range h.Losses {
		if h.Losses[i].Heard {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(i, j int) int {
		x, y := &h.Losses[i], &h.Losses[j]
		if x.Starts != y.Starts {
			if x.Starts {
				return -1
			}
			return 1
		}
		return cmp.Compare(y.Rank, x.Rank)
	})
	return list
}
