package contract

import (
	"cmp"
	"fmt"
	"slices"

	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// NewSizeSongs returns the report of several songs, and of those that failed,
// both in the order in which they were given.
func NewSizeSongs(p *plan.Plan, results []*SizeResult, failed []Failure) *SizeSongs {
	s := &SizeSongs{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Rig.Fingerprint(), Songs: results, Failed: failed,
		Findings: newFindings(p.Findings)}
	if s.Songs == nil {
		s.Songs = []*SizeResult{}
	}
	if s.Failed == nil {
		s.Failed = []Failure{}
	}
	s.Worst = SizeSpread{s.most(heldWant), s.most(pedalWant), s.most(audibleWant)}
	s.Median = Enough{s.median(heldWant), s.median(pedalWant), s.median(audibleWant)}
	s.Summary = s.summary(label(p.Rig))
	return s
}

func heldWant(r *SizeResult) int    { return r.Enough.Held }
func pedalWant(r *SizeResult) int   { return r.Enough.Pedal }
func audibleWant(r *SizeResult) int { return r.Enough.Audible }

func (s *SizeSongs) most(want func(*SizeResult) int) SizeMost {
	var most SizeMost
	for _, r := range s.Songs {
		if n := want(r); n > most.Voices {
			most = SizeMost{n, r.Song.File}
		}
	}
	return most
}

// median is the smallest number of voices that at least half of the songs with
// notes do with.
func (s *SizeSongs) median(want func(*SizeResult) int) int {
	var wants []int
	for _, r := range s.Songs {
		if r.Song.Notes > 0 {
			wants = append(wants, want(r))
		}
	}
	if len(wants) == 0 {
		return 0
	}
	slices.Sort(wants)
	return wants[(len(wants)-1)/2]
}

// MostFirst returns the results, those that want most voices for keys and
// pedals first, then most for the tails.
func (s *SizeSongs) MostFirst() []*SizeResult {
	sorted := slices.Clone(s.Songs)
	slices.SortStableFunc(sorted, func(a, b *SizeResult) int {
		return cmp.Or(cmp.Compare(pedalWant(b), pedalWant(a)), cmp.Compare(audibleWant(b), audibleWant(a)))
	})
	return sorted
}

// SizeNames returns what to call each of some songs in a table.
func SizeNames(results []*SizeResult) []string {
	songs := make([]*Song, len(results))
	for i, r := range results {
		songs[i] = &r.Song
	}
	return SongNames(songs)
}

func (s *SizeSongs) summary(rig string) string {
	text := fmt.Sprintf("%s on %s: ", unit.Count(len(s.Songs), "song"), rig)
	if s.Worst.Held.Voices == 0 {
		text += "nothing to play"
	} else {
		base := func(m SizeMost) string { return (&Song{File: m.File}).Base() }
		text += fmt.Sprintf("with the pedal half of them do with %d voices, the most are %d (%s); with every audible tail %d and %d (%s)",
			s.Median.Pedal, s.Worst.Pedal.Voices, base(s.Worst.Pedal), s.Median.Audible, s.Worst.Audible.Voices, base(s.Worst.Audible))
	}
	if len(s.Failed) > 0 {
		text += fmt.Sprintf("; %d could not be read", len(s.Failed))
	}
	return text + "."
}
