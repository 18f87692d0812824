package contract

import (
	"slices"

	"choirloft/routing/plan"
)

// NewSongs returns the report of several songs, and of those that failed,
// both in the order in which they were given.
func NewSongs(p *plan.Plan, results []*Result, failed []Failure) *Songs {
	s := &Songs{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Rig.Fingerprint(), Songs: results, Failed: failed, Findings: newFindings(p.Findings)}
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

// Names returns what to call each of some results in a table: the file without
// its folders, or with them where two would have the same name.
func Names(results []*Result) []string {
	songs := make([]*Song, len(results))
	for i, r := range results {
		songs[i] = &r.Song
	}
	return SongNames(songs)
}

// SongNames returns what to call each of some songs in a table, as [Names]
// does.
func SongNames(songs []*Song) []string {
	count := map[string]int{}
	for _, s := range songs {
		count[s.Base()]++
	}
	names := make([]string, len(songs))
	for i, s := range songs {
		names[i] = s.Base()
		if count[names[i]] > 1 {
			names[i] = s.File
		}
		names[i] = shorten(names[i])
	}
	return names
}

// shorten cuts the beginning off a name that is too long for a table.
func shorten(name string) string {
	const most = 36
	if runes := []rune(name); len(runes) > most {
		return "…" + string(runes[len(runes)-most+1:])
	}
	return name
}
