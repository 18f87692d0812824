package plan

import "choirloft/alloc"

// didYouMean returns a hint with the name that is meant, if one is near.
func didYouMean(found string, names []string) string {
	if name, ok := Nearest(found, names); ok {
		return "did you mean " + name + "?"
	}
	return ""
}

// ruleHint is for what is no rule of the kind that is wanted: the kind that it
// is of, or else the rule of the wanted kind that is meant.
func ruleHint(wanted, found string, names []string) string {
	if kind, ok := alloc.KindOfRule(found); ok && kind != wanted {
		return found + " is a " + kind + " rule"
	}
	return didYouMean(found, names)
}

// Nearest returns the first of the names that is the fewest typing errors
// away from what was found: at most one error in three characters. An error
// is a letter too many, too few or wrong (V. I. Levenshtein, "Binary codes
// capable of correcting deletions, insertions and reversals", 1966) or two
// neighbours swapped.
func Nearest(found string, names []string) (string, bool) {
	best, least := "", max(1, len(found)/3)+1
	for _, name := range names {
		if d := errors(found, name); d < least {
			best, least = name, d
		}
	}
	return best, best != ""
}

// errors counts the typing errors between two words, column by column.
func errors(typed, meant string) int {
	if len(typed) > 64 {
		return len(typed)
	}
	var before, last []int
	for i := 0; i <= len(typed); i++ {
		now := make([]int, len(meant)+1)
		for j := range now {
			switch {
			case i == 0:
				now[j] = j
			case j == 0:
				now[j] = i
			case typed[i-1] == meant[j-1]:
				now[j] = last[j-1]
			default:
				now[j] = 1 + min(last[j], now[j-1], last[j-1])
				if i > 1 && j > 1 && typed[i-1] == meant[j-2] && typed[i-2] == meant[j-1] {
					now[j] = min(now[j], before[j-2]+1)
				}
			}
		}
		before, last = last, now
	}
	return last[len(meant)]
}
