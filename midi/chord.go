package midi

import (
	"cmp"
	"slices"
)

// sort puts the note-ons of an instant, given as indices into its events, in
// order. Notes of one key stay in the order of the file.
func (o ChordOrder) sort(chord []int32, events []Event) {
	if o == ChordAsFiled || len(chord) < 2 {
		return
	}
	slices.SortStableFunc(chord, func(a, b int32) int { return cmp.Compare(events[a].Data1, events[b].Data1) })
	if o == ChordOuter {
		copy(chord, outerFirst(chord, events))
	}
}

// outerFirst takes the notes of a sorted chord from the lowest key, then the
// highest, then the next lowest and so on.
func outerFirst(chord []int32, events []Event) []int32 {
	ordered := make([]int32, 0, len(chord))
	key := func(i int) uint8 { return events[chord[i]].Data1 }
	for low, high := 0, len(chord); low < high; {
		next := low + 1
		for next < high && key(next) == key(low) {
			next++
		}
		ordered = append(ordered, chord[low:next]...)
		low = next
		next = high
		for next > low && key(next-1) == key(high-1) {
			next--
		}
		ordered = append(ordered, chord[next:high]...)
		high = next
	}
	return ordered
}
