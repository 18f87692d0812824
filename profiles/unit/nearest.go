package unit

import (
	"strings"
	"unicode/utf8"
)

// longestTyped is how many characters what was typed may have to be looked up:
// no name has more.
const longestTyped = 40

// DidYouMean asks whether the nearest of the names is meant; it says nothing if
// none is near enough.
func DidYouMean(found string, names []string) string {
	if name, ok := Nearest(found, names); ok {
		return "did you mean " + name + "?"
	}
	return ""
}

// Nearest returns the name that is the fewest typing errors away from what was
// found, the first of equals: at most one error in three characters. Of a name
// of two characters, both must be there.
func Nearest(found string, names []string) (string, bool) {
	length := utf8.RuneCountInString(found)
	if length < 2 || length > longestTyped {
		return "", false
	}
	best, least := "", max(1, length/3)+1
	for _, name := range names {
		if length == 2 && !strings.Contains(name, found) {
			continue
		}
		if d := distance(found, name); d < least {
			best, least = name, d
		}
	}
	return best, best != ""
}

// distance returns how many characters must be inserted, left out, replaced
// or swapped with their neighbour to get from a to b: the restricted edit
// distance of F. Damerau, "A technique for computer detection and correction
// of spelling errors", CACM 7 (1964), in its optimal string alignment form.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	var before []int // the row two back
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i := range s {
		next := make([]int, len(t)+1)
		next[0] = i + 1
		for j := range t {
			cost := 1
			if s[i] == t[j] {
				cost = 0
			}
			next[j+1] = min(row[j]+cost, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && s[i] == t[j-1] && s[i-1] == t[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row = row, next
	}
	return row[len(t)]
}
