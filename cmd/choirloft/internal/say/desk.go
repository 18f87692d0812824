package say

import (
	"fmt"

	"choirloft/profiles/unit"
)

// TextState says how the text of a rig stands to its file: with faults, as on disk, or not saved. New is one
// without a file.
func TextState(faults int, saved, isNew bool) string {
	switch {
	case faults > 0:
		return unit.Count(faults, "fault") + " in the text"
	case saved:
		return "as on disk"
	case isNew:
		return "new, not saved"
	}
	return "not saved"
}

// MeasureHint says what of measurements is taken, recordings up to a size in MiB.
func MeasureHint(recording int) string {
	return fmt.Sprintf("Drop what you measured here: readings (.csv or .yaml), or a take (.mid) and its recording (.wav, at most %d MiB).", recording)
}
