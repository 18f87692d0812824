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

// worstFirst orders the songs, the worst first: by the notes that are cut short,
// dropped or played by no part, then by those at a wrong pitch, then by
// [Badness].
func worstFirst(songs []*Result) []int {
	order := make([]int, len(songs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		x, y := songs[i], songs[j]
		return cmp.Or(cmp.Compare(y.Hurt()+y.Flags.Unmapped, x.Hurt()+x.Flags.Unmapped),
			cmp.Compare(y.WrongPitches(), x.WrongPitches()), Badness(x, y))
	})
	return order
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
