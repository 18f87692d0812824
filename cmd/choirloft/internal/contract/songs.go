package contract

import (
	"cmp"
	"math"
	"slices"
	"time"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// NewSongs returns the report of several songs, and of those that failed,
// both in the order in which they were given.
func NewSongs(p *plan.Plan, results []*Result, failed []Failure) *Songs {
	s := &Songs{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), Songs: results, Failed: failed, Findings: newFindings(p.Findings),
		MiddleC: int(p.Rig.MiddleC), Order: worstFirst(results)}
	if s.Songs == nil {
		s.Songs = []*Result{}
	}
	if s.Failed == nil {
		s.Failed = []Failure{}
	}
	return s
}

// worstFirst orders the songs, the worst first: by the notes that are dropped or
// played by no part, then by what is heard, in dB·s, then by the notes that are cut
// short or dropped, by those at a wrong pitch, and by [Badness].
func worstFirst(songs []*Result) []int {
	order := make([]int, len(songs))
	for i := range order {
		order[i] = i
	}
	silent := func(r *Result) int { return r.Endings[study.Dropped] + r.Flags.Unmapped }
	slices.SortStableFunc(order, func(i, j int) int {
		x, y := songs[i], songs[j]
		return cmp.Or(cmp.Compare(silent(y), silent(x)), cmp.Compare(y.dbs(), x.dbs()), cmp.Compare(y.Hurt(), x.Hurt()),
			cmp.Compare(y.WrongPitches(), x.WrongPitches()), Badness(x, y))
	})
	return order
}

// dbs is what is heard of the losses, in dB·s; of a song that is too long to listen
// to it may be anything.
func (r *Result) dbs() float64 {
	switch {
	case r.Hearing == nil:
		return 0
	case r.Heard == nil:
		return math.Inf(1)
	}
	return r.Heard.DBS
}

// WorstFirst returns the results, the worst first.
func (s *Songs) WorstFirst() []*Result {
	sorted := make([]*Result, len(s.Order))
	for i, at := range s.Order {
		sorted[i] = s.Songs[at]
	}
	return sorted
}

// Badness orders results by [study.Score.Compare]. It is negative where x is
// worse than y.
func Badness(x, y *Result) int {
	a, b := x.score(), y.score()
	return b.Compare(&a)
}

// score is what the notes cost.
func (t *Totals) score() study.Score {
	loudest := math.Inf(-1)
	if t.LoudestCutDB != nil {
		loudest = *t.LoudestCutDB
	}
	return study.NewScore(t.Endings, time.Duration(math.Round(t.LostGateS*float64(time.Second))), loudest)
}

// WrongPitches counts the notes that sound at another pitch than they ask for.
func (r *Result) WrongPitches() (n int) {
	for i := range r.WrongPitch {
		n += r.WrongPitch[i].Notes
	}
	return n
}
