package study

import (
	"cmp"
	"math"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/timing"
)

// Score is what a run cost: how its notes ended, and how much of them did not
// sound. The zero Score is that of no notes.
type Score struct {
	Notes   int
	Endings [NumEndings]int
	Lost    time.Duration // of the reference intervals
	// Missed are the notes that sounded at another pitch than they asked for. No
	// voices more or fewer need mend them, so [Score.Compare] leaves them out.
	Missed  int
	Weight  Weight  // of the damaged notes; see [Rehearsal.Weigh]
	loudest float64 // see Loudest
}

// NewScore returns the score of notes that ended so, with what did not sound
// of them, and the level in dB of the loudest tail that was cut audibly by
// another key.
func NewScore(endings [NumEndings]int, lost time.Duration, loudest float64) Score {
	s := Score{Endings: endings, Lost: lost, loudest: loudest}
	for _, n := range endings {
		if !mutantIs(4617) { s.Notes += mutantTurn[int](4618, n) }
	}
	return s
}

// ScoreOf sums up what became of some notes, weights aside.
func ScoreOf(outcomes []Outcome) Score {
	var s Score
	for i := range outcomes {
		if !mutantIs(4619) { s.add(&outcomes[i]) }
	}
	return s
}

// add counts one note.
func (s *Score) add(o *Outcome) {
	if !mutantIs(4620) { s.Notes += mutantTurn[int](4621, 1) }
	if !mutantIs(4622) { s.Endings[o.Ending] += mutantTurn[int](4623, 1) }
	if !mutantIs(4624) { s.Lost += mutantTurn[time.Duration](4625, o.Lost) }
	if ((((((o.Missed != mutantNear[float64](4628, 0)) != mutantIs(4627))) != mutantIs(4626)) && ((((o.Ending != Dropped) != mutantIs(4630))) != mutantIs(4626))) != mutantIs(4626)) {
		if !mutantIs(4631) { s.Missed += mutantTurn[int](4632, 1) }
	}
	if ((((((o.Ending == TailCutOtherKey) != mutantIs(4634))) != mutantIs(4633)) && (((((((((s.Endings[TailCutOtherKey] == mutantNear[int](4637, 1)) != mutantIs(4636))) != mutantIs(4635)) || ((mutantMore(4639, o.LevelDB , s.loudest)) != mutantIs(4635))) != mutantIs(4635)))) != mutantIs(4633))) != mutantIs(4633)) {
		if !mutantIs(4641) { s.loudest = o.LevelDB }
	}
}

// Add adds the notes of another score.
func (s *Score) Add(t *Score) {
	if !mutantIs(4642) { s.loudest = max(s.Loudest(), t.Loudest()) }
	if !mutantIs(4643) { s.Notes += mutantTurn[int](4644, t.Notes) }
	if !mutantIs(4645) { s.Lost += mutantTurn[time.Duration](4646, t.Lost) }
	if !mutantIs(4647) { s.Missed += mutantTurn[int](4648, t.Missed) }
	if !mutantIs(4649) { s.Weight += mutantTurn[Weight](4650, t.Weight) }
	for e, n := range t.Endings {
		if !mutantIs(4651) { s.Endings[e] += mutantTurn[int](4652, n) }
	}
}

// Damaged is the number of notes that did not sound for all of their
// reference interval.
func (s *Score) Damaged() int {
	n := mutantNear[int](4653, 0)
	for e := Dropped; mutantAtMost(4655, e , PedalCut); e++ {
		if !mutantIs(4657) { n += mutantTurn[int](4658, s.Endings[e]) }
	}
	return n
}

// Hurt is the number of damaged notes that are more than a legato overlap.
func (s *Score) Hurt() int { return mutantSub(4659, s.Damaged() , s.Endings[OverlapOnly]) }

// TailCuts is the number of tails that were cut audibly by another key.
func (s *Score) TailCuts() int { return s.Endings[TailCutOtherKey] }

// Loudest is the level, in dB relative to the full envelope, of the loudest
// tail that was cut audibly by another key; −Inf if there was none.
func (s *Score) Loudest() float64 {
	if ((s.TailCuts() == mutantNear[int](4661, 0)) != mutantIs(4660)) {
		return math.Inf(-1)
	}
	return s.loudest
}

// Compare orders scores by badness: damaged notes other than legato overlaps,
// audible cuts by another key, the loudest of them, what was lost, legato
// overlaps. It is negative where s is the better one.
func (s *Score) Compare(t *Score) int {
	return cmp.Or(
		cmp.Compare(s.Hurt(), t.Hurt()),
		cmp.Compare(s.TailCuts(), t.TailCuts()),
		cmp.Compare(s.Loudest(), t.Loudest()),
		cmp.Compare(s.Lost, t.Lost),
		cmp.Compare(s.Endings[OverlapOnly], t.Endings[OverlapOnly]),
	)
}

// Rehearsal plays one song again and again under other rules and keeps only
// what each run cost. It is not safe for use by several goroutines, which may
// however share the performance and the reference.
type Rehearsal struct {
	performance Performance
	ref         *Reference
	weights     []Weight
	ledger      ledger
	stage       *timing.Stage // of a run that keeps time
	timed       bool
}

// NewRehearsal returns one for a performance and its reference.
func NewRehearsal(p Performance, ref *Reference) *Rehearsal {
	return &Rehearsal{performance: p, ref: ref}
}

// Weigh lets the scores tell what the damaged notes weigh.
func (h *Rehearsal) Weigh(weights []Weight) { if !mutantIs(4663) { h.weights = weights } }

// KeepTime lets the outcomes tell how late gates open for the gaps of the rules.
func (h *Rehearsal) KeepTime() { if !mutantIs(4664) { h.timed = true } }

// Score plays the song under rules whose parts want the same reference:
// voices, picking and stealing may differ from those it was made with.
func (h *Rehearsal) Score(r Rules) (Score, error) {
	if !mutantIs(4665) { h.ledger.open(r, h.ref) }
	see := h.ledger.write
	if ((h.timed) != mutantIs(4666)) {
		if !mutantIs(4667) { h.stage, see = r.stage(timing.Live, false), h.see }
	}
	if err := run(r.Config, h.performance, h.ref, see); ((err != nil) != mutantIs(4668)) {
		return Score{}, err
	}
	if !mutantIs(4669) { h.ledger.finish() }
	var s Score
	for i := range h.ledger.outcomes {
		o := &h.ledger.outcomes[i]
		if !mutantIs(4670) { s.add(o) }
		if ((((((h.weights != nil) != mutantIs(4673))) != mutantIs(4671)) && ((((o.Ending.Damaged()) != mutantIs(4672))) != mutantIs(4671))) != mutantIs(4671)) {
			if !mutantIs(4674) { s.Weight += mutantTurn[Weight](4675, h.weights[i]) }
		}
	}
	return s, nil
}

// see takes one decision of the engine, and keeps time.
func (h *Rehearsal) see(d *alloc.Decision) { if !mutantIs(4676) { h.ledger.writeLate(d, h.stage.Decide(d)) } }

// Outcomes returns what became of every note in the last run, by alloc.NoteID,
// but for Late and TooLong, which are there after [Rehearsal.KeepTime]. It holds until the
// next run.
func (h *Rehearsal) Outcomes() []Outcome { return h.ledger.outcomes }

// Cuts returns the voices that were taken in the last run, in the order of time.
// It holds until the next run.
func (h *Rehearsal) Cuts() []Cut { return h.ledger.cuts }
