package midi

import (
	"fmt"
	"slices"
	"sort"
)

// maxWarnings is how many warnings of a file are kept; the rest is counted.
const maxWarnings = 100

// String returns the offset and the message.
func (w Warning) String() string { return fmt.Sprintf("byte %d: %s", w.Offset, w.Message) }

// cut adds a warning that the file ends too early.
func (w *Warnings) cut(offset int, format string, args ...any) {
	w.CutOff = true
	w.add(offset, format, args...)
}

// add counts a warning and keeps it if it is among the first by offset. Those
// at one offset stay in the order in which they came.
func (w *Warnings) add(offset int, format string, args ...any) {
	w.Total++
	n := len(w.List)
	if n == maxWarnings {
		if offset >= w.List[n-1].Offset {
			return
		}
		w.List = w.List[:n-1]
	}
	at := sort.Search(len(w.List), func(i int) bool { return w.List[i].Offset > offset })
	w.List = slices.Insert(w.List, at, Warning{offset, fmt.Sprintf(format, args...)})
}
