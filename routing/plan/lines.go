package plan

import (
	"cmp"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// Line is what a proposed part plays: what a song does on a channel, or on the
// keys of it on one side of a split.
type Line struct {
	study.ChannelUse
	// Zone is the side of a split; the zero value where the line is the channel.
	Zone alloc.KeyRange
	// Free are the keys between the sides of the split that the song never plays.
	Free alloc.KeyRange
	// Twin is the place among the lines of the first that plays the same keys at
	// the same times, or -1.
	Twin int
}

// Single tells whether no two of its notes ever sound at once, pedal included: a
// mono part plays them all. A single note is no line.
func (l *Line) Single() bool { return l.Notes > 1 && l.Demand.Pedal == 1 }

// Split tells whether the line is a side of a split.
func (l *Line) Split() bool { return l.Zone != alloc.KeyRange{} }

// What makes a split: a channel whose keys leave an octave free, or a fifth where
// one side alone is a single line, such as a bass under chords. Each side has a
// quarter of the notes, and notes of both sound at once, or it would be one line
// that leaps.
const (
	splitOctave = 12 // semitones from the highest key of one side to the lowest of the other
	splitFifth  = 7
	splitShare  = 4 // the part of the notes that a side has at least: one in so many
)

// linesOf are the lines of a channel: two where it is split.
func linesOf(u study.ChannelUse) []Line {
	if u.PerNote.Members > 0 {
		return []Line{{ChannelUse: u}} // a zone is a player's, who plays all over it
	}
	var used [128]bool
	for _, n := range u.Played {
		used[n.Key] = true
	}
	var best []Line
	low := u.Low
	for high := low + 1; high <= u.High; high++ {
		if !used[high] {
			continue
		}
		if free := (alloc.KeyRange{Low: low + 1, High: high - 1}); high-low >= splitFifth && (best == nil || wider(free, best[0].Free)) {
			if sides := splitAt(u, free); sides != nil {
				best = sides
			}
		}
		low = high
	}
	if best != nil {
		return best
	}
	return []Line{{ChannelUse: u}}
}

func wider(a, b alloc.KeyRange) bool { return a.High-a.Low > b.High-b.Low }

// splitAt are the two sides of free keys, or nil where that makes no split. The
// keyboard is divided in the middle, so that no key is left without a part.
func splitAt(u study.ChannelUse, free alloc.KeyRange) []Line {
	middle := (free.Low + free.High + 1) / 2
	sides := []Line{
		{Zone: alloc.KeyRange{Low: 0, High: middle - 1}, Free: free},
		{Zone: alloc.KeyRange{Low: middle, High: 127}, Free: free},
	}
	for i := range sides {
		sides[i].ChannelUse = u.Within(sides[i].Zone)
		if sides[i].Notes*splitShare < u.Notes {
			return nil
		}
	}
	octave := int(free.High)-int(free.Low)+2 >= splitOctave
	if !octave && sides[0].Single() == sides[1].Single() || !together(sides[0].Played, sides[1].Played) {
		return nil
	}
	return sides
}

// together tells whether a note of one line sounds while one of the other does.
// Both are in order of their starts.
func together(a, b []study.Note) bool {
	i := 0
	for _, n := range a {
		for i < len(b) && b[i].End <= n.Start {
			i++ // an end before this start is before all that follow
		}
		if i < len(b) && b[i].Start < n.End {
			return true
		}
	}
	return false
}

// pair finds lines that play the same as an earlier one.
func pair(lines []Line) {
	type sounding struct {
		key        midi.Key
		start, end int64
	}
	all := make([][]sounding, len(lines))
	for i := range lines {
		for _, n := range lines[i].Played {
			all[i] = append(all[i], sounding{n.Key, int64(n.Start), int64(n.End)})
		}
		slices.SortFunc(all[i], func(a, b sounding) int {
			return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.key, b.key), cmp.Compare(a.end, b.end))
		})
		lines[i].Twin = slices.IndexFunc(all[:i], func(other []sounding) bool { return slices.Equal(other, all[i]) })
	}
}
