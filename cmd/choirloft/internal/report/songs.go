package report

import (
	"fmt"
	"slices"

	"choirloft/alloc/study"
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
	s.Summary = s.summary(label(p.Rig))
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
	return songNames(songs)
}

func songNames(songs []*Song) []string {
	count := map[string]int{}
	for _, s := range songs {
		count[s.base()]++
	}
	names := make([]string, len(songs))
	for i, s := range songs {
		names[i] = s.base()
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

func (s *Songs) summary(rig string) string {
	text := fmt.Sprintf("%s on %s: %s", Count(len(s.Songs), "song"), rig, s.fates())
	silent := 0
	for _, r := range s.Songs {
		if r.Song.Notes == 0 {
			silent++
		}
	}
	if silent > 0 {
		text += fmt.Sprintf("; %d without notes", silent)
	}
	if len(s.Failed) > 0 {
		text += fmt.Sprintf("; %d could not be read", len(s.Failed))
	}
	return text + "."
}

// fates says how many songs come through.
func (s *Songs) fates() string {
	whole, bare, late, damaged := 0, 0, 0, 0
	for _, r := range s.Songs {
		switch {
		case r.Song.Notes == 0:
		case r.Damaged > 0:
			damaged++
		case r.LostGateS > 0:
			late++
		case r.Endings[study.TailCutOtherKey] > 0:
			bare++
		default:
			whole++
		}
	}
	var words []string
	for _, f := range []struct {
		n    int
		what string
	}{{whole, "without a loss"}, {bare, "with cut tails only"}, {late, "with notes a little late"}, {damaged, "with damaged notes"}} {
		if f.n > 0 {
			words = append(words, fmt.Sprintf("%d %s", f.n, f.what))
		}
	}
	if len(words) == 0 {
		return "nothing to play"
	}
	text := list(words)
	if damaged > 0 {
		worst := s.WorstFirst()[0]
		text += fmt.Sprintf("; the worst is %s with %d of %d", worst.Song.base(), worst.Damaged, worst.Song.Notes)
	}
	return text
}

// BeganLate tells whether in some song a note began too late.
func (s *Songs) BeganLate() bool {
	return slices.ContainsFunc(s.Songs, func(r *Result) bool { return r.Endings[study.LateStart] > 0 })
}
