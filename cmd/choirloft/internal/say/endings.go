package say

import (
	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
)

// endingWords are the words for an ending.
var endingWords = [study.NumEndings]struct {
	label string // in a table of losses
	head  string // above a column
}{
	study.Complete:         {"complete", "Complete"},
	study.Superseded:       {"superseded", "Superseded"},
	study.Dropped:          {"dropped", "Dropped"},
	study.LateStart:        {"late start", "Late start"},
	study.BornCut:          {"cut at birth", "Born cut"},
	study.HeldCut:          {"cut while held", "Held cut"},
	study.OverlapOnly:      {"legato overlap", "Overlap"},
	study.PedalCut:         {"cut on pedal", "Pedal cut"},
	study.TailCutOwnKey:    {"tail, own key", "Own tail"},
	study.TailCutOtherKey:  {"tail, other key", "Other tail"},
	study.TailCutInaudible: {"faint tail", "Faint tail"},
}

// EndingLabel is an ending in words, by its name in JSON.
func EndingLabel(name string) string {
	for e := range study.NumEndings {
		if contract.EndingName(e) == name {
			return endingWords[e].label
		}
	}
	return name
}
