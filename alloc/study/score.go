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
		s.Notes += n
	}
	return s
}

// ScoreOf sums up what became of some notes, weights aside.
func ScoreOf(outcomes []Outcome) Score {
	var s Score
	for i := range outcomes {
		s.add(&outcomes[i])
	}
	return s
}

// add counts one note.
func (s *Score) add(o *Outcome) {
	s.Notes++
	s.Endings[o.Ending]++
	s.Lost += o.Lost
	if o.Missed != 0 && o.Ending != Dropped {
		s.Missed++
	}
	if o.Ending == TailCutOtherKey && (s.Endings[TailCutOtherKey] == 1 || o.LevelDB > s.loudest) {
		s.loudest = o.LevelDB
	}
}

// Add adds the notes of another score.
func (s *Score) Add(t *Score) {
	s.loudest = max(s.Loudest(), t.Loudest())
	s.Notes += t.Notes
	s.Lost += t.Lost
	s.Missed += t.Missed
	s.Weight += t.Weight
	for e, n := range t.Endings {
		s.Endings[e] += n
	}
}

// Damaged is the number of notes that did not sound for all of their
// reference interval.
func (s *Score) Damaged() int {
	n := 0
	for e := Dropped; e <= PedalCut; e++ {
		n += s.Endings[e]
	}
	return n
}

// Hurt is the number of damaged notes that are more than a legato overlap.
func (s *Score) Hurt() int { return s.Damaged() - s.Endings[OverlapOnly] }

// TailCuts is the number of tails that were cut audibly by another key.
func (s *Score) TailCuts() int { return s.Endings[TailCutOtherKey] }

// Loudest is the level, in dB relative to the full envelope, of the loudest
// tail that was cut audibly by another key; −Inf if there was none.
func (s *Score) Loudest() float64 {
	if s.TailCuts() == 0 {
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
func (h *Rehearsal) Weigh(weights []Weight) { h.weights = weights }

// KeepTime lets the outcomes tell how late gates open for the gaps of the rules.
func (h *Rehearsal) KeepTime() { h.timed = true }

// Score plays the song under rules whose parts want the same reference:
// voices, picking and stealing may differ from those it was made with.
func (h *Rehearsal) Score(r Rules) (Score, error) {
	h.ledger.open(r, h.ref)
	see := h.ledger.write
	if h.timed {
		h.stage, see = r.stage(timing.Live, false), h.see
	}
	if err := run(r.Config, h.performance, h.ref, see); err != nil {
		return Score{}, err
	}
	h.ledger.finish()
	var s Score
	for i := range h.ledger.outcomes {
		o := &h.ledger.outcomes[i]
		s.add(o)
		if h.weights != nil && o.Ending.Damaged() {
			s.Weight += h.weights[i]
		}
	}
	return s, nil
}

// see takes one decision of the engine, and keeps time.
func (h *Rehearsal) see(d *alloc.Decision) { h.ledger.writeLate(d, h.stage.Decide(d)) }

// Outcomes returns what became of every note in the last run, by alloc.NoteID,
// but for Late and TooLong, which are there after [Rehearsal.KeepTime]. It holds until the
// next run.
func (h *Rehearsal) Outcomes() []Outcome { return h.ledger.outcomes }

// Cuts returns the voices that were taken in the last run, in the order of time.
// It holds until the next run.
func (h *Rehearsal) Cuts() []Cut { return h.ledger.cuts }
