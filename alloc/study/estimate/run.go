package estimate

import (
	"context"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// Options say how to play, and how far to look.
type Options struct {
	Seed   uint64
	Length time.Duration // of the notes that count: at least [Model.ShortestRun]
	Voices int           // of the rig, which the curve reaches at least
	// Budget ends the runs, not the theory, as [study.SizingOptions] has it.
	Budget *study.Budget
	// Progress is told how many of all runs are over, as [study.SizingOptions]
	// has it.
	Progress func(done, all int)
}

// Estimate is what theory and the random player say of a way of playing.
type Estimate struct {
	Model    *Model
	Options  Options
	Margin   time.Duration // played before the notes that count, and after them
	Notes    int           // played in all
	Counted  int           // of them, those that count
	Batches  int           // that the error was taken from
	Restruck int           // notes that struck a key which still sounded
	// Little is notes a second times mean length, Mean the mean number of notes
	// that sounded, of the whole run: from the first note to the last lift.
	Little, Mean float64
	Points       []Point // by voices: those of Sizing
	Needs        []Need  // by Levels
	Sizing       *study.Sizing
}

// Point is a number of voices.
type Point struct {
	Voices int
	Theory
	// MustDamage is the share of the notes of the whole run that every rule
	// damages: study.Bound, one voice a note.
	MustDamage float64
	// What the engine made of the run: a rule that never steals, one that steals
	// the oldest, and the rules that the parts have.
	Refusing, Oldest, Own Played
}

// Played is what became of the notes that count.
type Played struct {
	Score study.Score
	Share float64 // of the notes that are damaged
	Error float64 // its standard error
	// TailShare is the share of notes whose tail was cut audibly by another key.
	TailShare float64
}

// Levels are the shares of notes that a number of voices may damage and still be
// called enough: what most will not notice, and what hardly anybody will. Common
// practice in telephony has 1 % and 2 %.
var Levels = [...]float64{0.01, 0.001}

// Need is how many voices are enough for a level; 0 where the curve ends before.
// That of the chords is the answer; the others are to compare with.
type Need struct {
	AtMost                          float64
	Refused, Poisson, Chords, Tails int // by theory
	Own                             int // as played, by the rules that the parts have
}

// The ways in which the engine plays besides those of the parts.
var ways = []study.Ruleset{
	{Pick: alloc.PickLowest, Steal: alloc.StealNone},
	{Pick: alloc.PickLowest, Steal: alloc.StealOldest},
}

// Run estimates by theory, plays the notes on every number of voices, and sets
// the two side by side. It returns the error of ctx if that ends first.
//
// A run begins and ends in silence. Notes count that begin after a margin of
// twice the longest note, for [Options.Length]; a margin of notes follows. The
// standard error is that of a ratio over batches of equal time (W. G. Cochran,
// Sampling Techniques, ch. 6; from memory), which are long against a note, so
// that what notes do to each other stays within a batch.
func (m *Model) Run(ctx context.Context, o Options) (*Estimate, error) {
	song, restruck := m.Play(o.Seed, o.Length+2*m.margin())
	e := &Estimate{Model: m, Options: o, Margin: m.margin(), Notes: song.NoteOns, Restruck: restruck, Batches: batches}
	watch := &watcher{from: e.Margin, batch: o.Length / batches}
	given := study.Performance{Steps: song.Steps(midi.Order{}), End: song.Duration()}
	o.Budget.Force(study.FirstWork(given))
	var err error
	e.Sizing, err = study.Size(ctx, m.rules, given, study.SizingOptions{
		Rulesets: ways, Voices: o.Voices, Also: m.telling(), Budget: o.Budget, Seek: watch.seek(), Progress: o.Progress, Watch: watch.see,
	})
	if err != nil {
		return nil, err
	}
	e.little()
	e.points(watch)
	return e, nil
}

// telling are the numbers of voices that the levels want by theory, and two more
// than the most.
func (m *Model) telling() (list []int) {
	most := int(m.All.AudibleVoices) + 16
	for ; most < alloc.MaxVoices; most *= 2 {
		all := m.Theory(most)
		last, level := all[most-1], Levels[len(Levels)-1]
		if last.Tails > level || last.Refused > level {
			continue
		}
		for _, level := range Levels {
			for _, share := range []func(*Theory) float64{chords, tails, refused} {
				list = append(list, max(1, m.needed(level, share, all)))
			}
		}
		return append(list, 2+max(m.needed(level, tails, all), m.needed(level, refused, all)))
	}
	return []int{alloc.MaxVoices}
}

// batches is over how many stretches of time the error is taken.
const batches = 30

// little measures what Little's law is about.
func (e *Estimate) little() {
	var sum, first, last time.Duration
	notes := e.Sizing.Reference.Notes
	for i := range notes {
		n := &notes[i]
		if i == 0 {
			first = n.Start
		}
		sum += n.End - n.Start
		last = max(last, n.End)
	}
	if span := (last - first).Seconds(); span > 0 {
		n := float64(len(notes))
		e.Little = n / span * (sum.Seconds() / n)
		e.Mean = meanDepth(notes, first, last)
	}
}

// meanDepth follows the notes that sound through time.
func meanDepth(notes []study.Note, first, last time.Duration) float64 {
	intervals := make([]study.Interval, len(notes))
	for i := range notes {
		intervals[i] = study.Interval{Start: notes[i].Start, End: notes[i].End}
	}
	var area time.Duration
	for depth, lasts := range study.NewDepths(intervals) {
		area += time.Duration(depth) * lasts
	}
	return area.Seconds() / (last - first).Seconds()
}

func (e *Estimate) mustDamage(voices int) float64 {
	return float64(e.Sizing.Bounds.At(voices).FewestDamaged) / float64(max(1, len(e.Sizing.Reference.Notes)))
}

func (e *Estimate) points(w *watcher) {
	list := e.Model.Theory(e.Sizing.Last)
	for i := range e.Sizing.Points {
		v := e.Sizing.Points[i].Voices
		e.Points = append(e.Points, Point{Voices: v, Theory: list[v-1], MustDamage: e.mustDamage(v),
			Refusing: w.played(v, 0), Oldest: w.played(v, 1), Own: w.played(v, len(ways))})
	}
	e.Counted = e.Points[0].Own.Score.Notes
	for i, level := range Levels {
		need := func(share func(*Theory) float64) int { return e.Model.needed(level, share, list) }
		own, _ := e.Sizing.From(w.seek()[i])
		e.Needs = append(e.Needs, Need{AtMost: level, Own: own,
			Refused: need(refused), Poisson: need(func(t *Theory) float64 { return t.Poisson }), Chords: need(chords), Tails: need(tails)})
	}
}
