package say

import (
	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
)

// EndingLabel is an ending in words, by its name in JSON.
func EndingLabel(name string) string {
	for e := range study.NumEndings {
		if contract.EndingName(e) == name {
			return endingTerms[e].Name
		}
	}
	return name
}

// endingRank says which endings a narrow table leaves out first: those that
// cost nothing.
func endingRank(e study.Ending) int {
	switch e {
	case study.Complete, study.Superseded, study.TailCutInaudible:
		return 4
	case study.TailCutOwnKey:
		return 3
	}
	return 0
}

// causeLabels are the causes of losses in words, by their names in JSON.
var causeLabels = map[string]string{"none": "", "shortage": "too few voices", "pedal": "pedal", "tail": "tails", "rule": "rule",
	"range": "out of range", "reserve": "reserved", "unison": "unison", "overlap": "overlap"}

// ofTail tells whether an ending is of a tail alone, which its loudness does not
// say whether anybody hears.
func ofTail(e study.Ending) bool {
	return e == study.TailCutOwnKey || e == study.TailCutOtherKey || e == study.TailCutInaudible
}
