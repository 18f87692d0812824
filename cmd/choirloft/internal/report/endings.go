package report

import (
	"bytes"
	"fmt"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// Endings counts how notes ended, by [study.Ending].
type Endings [study.NumEndings]int

// endingWords are the words for an ending.
var endingWords = [study.NumEndings]struct {
	name  string // in JSON
	label string // in a table of losses
	head  string // above a column, in lines
}{
	study.Complete:         {"complete", "complete", "Complete"},
	study.Superseded:       {"superseded", "superseded", "Super-\nseded"},
	study.Dropped:          {"dropped", "dropped", "Dropped"},
	study.LateStart:        {"late_start", "late start", "Late\nstart"},
	study.BornCut:          {"born_cut", "cut at birth", "Born-\ncut"},
	study.HeldCut:          {"held_cut", "cut while held", "Held-\ncut"},
	study.OverlapOnly:      {"overlap_only", "legato overlap", "Over-\nlap"},
	study.PedalCut:         {"pedal_cut", "cut on pedal", "Pedal-\ncut"},
	study.TailCutOwnKey:    {"tail_cut_own_key", "tail, own key", "Own\ntail"},
	study.TailCutOtherKey:  {"tail_cut_other_key", "tail, other key", "Other\ntail"},
	study.TailCutInaudible: {"tail_cut_inaudible", "faint tail", "Faint\ntail"},
}

// endingName is the name of an ending in JSON.
func endingName(e study.Ending) string { return endingWords[e].name }

// MarshalJSON writes one number for each ending, by name.
func (e Endings) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	for i, n := range e {
		separator := ","
		if i == 0 {
			separator = "{"
		}
		fmt.Fprintf(&b, "%s%q:%d", separator, endingName(study.Ending(i)), n)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// causeNames are the causes of a loss in JSON and in words.
var causeNames = [...]string{
	alloc.CauseNone: "none", alloc.CauseShortage: "shortage", alloc.CausePedal: "pedal",
	alloc.CauseTail: "tail", alloc.CauseRule: "rule", alloc.CauseRange: "range",
	alloc.CauseReserve: "reserve", alloc.CauseUnison: "unison",
}

// causeName names the cause of a loss. A legato overlap is a cause of its own,
// whatever the voices lacked at that instant.
func causeName(o *study.Outcome) string {
	if o.Ending == study.OverlapOnly {
		return "overlap"
	}
	return causeNames[o.Cause]
}

// isLoss tells whether an ending is listed among the losses: every damaged
// note and every audible cut of a tail.
func isLoss(e study.Ending) bool {
	return e.Damaged() || e == study.TailCutOwnKey || e == study.TailCutOtherKey
}
