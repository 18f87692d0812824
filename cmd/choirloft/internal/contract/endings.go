package contract

import (
	"bytes"
	"encoding/json"
	"fmt"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// Endings counts how notes ended, by [study.Ending].
type Endings [study.NumEndings]int

// endingNames are the endings in JSON.
var endingNames = [study.NumEndings]string{
	study.Complete:         "complete",
	study.Superseded:       "superseded",
	study.Dropped:          "dropped",
	study.LateStart:        "late_start",
	study.BornCut:          "born_cut",
	study.HeldCut:          "held_cut",
	study.OverlapOnly:      "overlap_only",
	study.PedalCut:         "pedal_cut",
	study.TailCutOwnKey:    "tail_cut_own_key",
	study.TailCutOtherKey:  "tail_cut_other_key",
	study.TailCutInaudible: "tail_cut_inaudible",
}

// EndingName is the name of an ending in JSON.
func EndingName(e study.Ending) string { return endingNames[e] }

// MarshalJSON writes one number for each ending, by name.
func (e Endings) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	for i, n := range e {
		separator := ","
		if i == 0 {
			separator = "{"
		}
		fmt.Fprintf(&b, "%s%q:%d", separator, EndingName(study.Ending(i)), n)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// UnmarshalJSON reads what MarshalJSON writes.
func (e *Endings) UnmarshalJSON(data []byte) error {
	var counts map[string]int
	if err := json.Unmarshal(data, &counts); err != nil {
		return err
	}
	for i := range e {
		e[i] = counts[EndingName(study.Ending(i))]
	}
	return nil
}

// causeNames are the causes of a loss in JSON.
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
