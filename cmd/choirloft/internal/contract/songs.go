package contract

import (
	"slices"

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
