package routing

// Change is a finding that is not what it was; one side is nil where it came or
// went.
type Change struct{ Before, After *Finding }

// Changes compares the findings about two states of a rig, in the order of
// before, then of those that came. Findings of one code at one place are
// compared in the order in which they stand.
func Changes(before, after []Finding) (all []Change) {
	type place struct {
		code  Code
		where string
	}
	left := map[place][]*Finding{}
	for i := range after {
		at := place{after[i].Code, after[i].Where}
		left[at] = append(left[at], &after[i])
	}
	gone := map[*Finding]bool{}
	for i := range before {
		f := &before[i]
		at := place{f.Code, f.Where}
		if len(left[at]) == 0 {
			all = append(all, Change{Before: f})
			continue
		}
		now := left[at][0]
		left[at], gone[now] = left[at][1:], true
		if now.Text != f.Text || now.Assumed != f.Assumed {
			all = append(all, Change{f, now})
		}
	}
	for i := range after {
		if !gone[&after[i]] {
			all = append(all, Change{After: &after[i]})
		}
	}
	return all
}

// CountAssumed counts the findings that rest on a number nobody measured.
func CountAssumed(findings []Finding) (n int) {
	for _, f := range findings {
		if f.Assumed {
			n++
		}
	}
	return n
}
