package contract

import (
	"math"
	"slices"
	"time"

	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// NewSongs returns the report of several songs, and of those that failed,
// both in the order in which they were given.
func NewSongs(p *plan.Plan, results []*Result, failed []Failure) *Songs {
	s := &Songs{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), Songs: results, Failed: failed, Findings: newFindings(p.Findings)}
	if s.Songs == nil {
		s.Songs = []*Result{}
	}
	if s.Failed == nil {
		s.Failed = []Failure{}
	}
	return s
}

// WorstFirst returns the results ordered by [Badness].
func (s *Songs) WorstFirst() []*Result {
	sorted := slices.Clone(s.Songs)
	slices.SortStableFunc(sorted, Badness)
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
