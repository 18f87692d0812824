package advise

import (
	"cmp"
	"slices"
	"time"
)

// What is hardly more: so much of what is heard, and of dB·s.
const (
	nearShare = 0.05
	nearHeard = 1
)

// order is that of effort, then of lines, then of what is heard and lost, then one that
// holds whatever was played first.
func (f *finder) order(a, b *tried) int {
	return cmp.Or(cmp.Compare(a.effort, b.effort), cmp.Compare(a.lines, b.lines), cmp.Compare(a.Heard, b.Heard),
		cmp.Compare(f.toll(a), f.toll(b)), slices.Compare(a.state, b.state), cmp.Compare(a.more, b.more), cmp.Compare(a.like(), b.like()),
		cmp.Compare(a.passes, b.passes), slices.CompareFunc(a.groups, b.groups, slices.Compare[[]int]))
}

// arrange puts the one to try first in front, then orders by effort, and of each effort
// by what is left to hear. Last stands what loses many more notes and is heard for longer than as it is:
// it is better by dB·s alone.
func (f *finder) arrange(fixes []Fix) []Fix {
	for i := range fixes {
		x := &fixes[i]
		x.Near = slices.ContainsFunc(fixes, func(y Fix) bool {
			cheaper := cmp.Or(cmp.Compare(y.Effort, x.Effort), cmp.Compare(y.Lines, x.Lines)) < 0
			fewer := float64(x.Dropped+x.Cut) < float64((1-nearShare)*float64(y.Dropped+y.Cut)) // notes are not next to nothing
			return cheaper && !fewer && x.Wrong >= y.Wrong && len(y.Prices) <= len(x.Prices) && y.Heard-x.Heard < nearHeard && y.Heard-x.Heard < nearShare*y.Heard
		})
	}
	slices.SortStableFunc(fixes, func(a, b Fix) int {
		return cmp.Or(compareBool(f.harsh(&a.Figures), f.harsh(&b.Figures)), cmp.Compare(a.Effort, b.Effort), compareBool(a.Near, b.Near), f.byEar(&a.Figures, &b.Figures))
	})
	if first := f.first(fixes); first > 0 {
		x := fixes[first]
		fixes = slices.Insert(slices.Delete(fixes, first, first+1), 0, x)
	}
	for i := range fixes {
		fixes[i].On = f.builtOn(fixes, i)
	}
	return fixes
}

// harsh tells whether more than twice as many notes are lost as now, and something is heard to be missing for longer.
func (f *finder) harsh(x *Figures) bool {
	now := &f.now.Figures
	return x.Dropped+x.Cut > 2*(now.Dropped+now.Cut) && x.Faint > now.Faint
}

// byEar orders by what is left to hear, in tenths of what is heard now; what is alike by
// that by notes and seconds too.
func (f *finder) byEar(a, b *Figures) int {
	tenths := func(x *Figures) int { return int(10 * x.Heard / max(sameHeard, f.now.Heard)) }
	return cmp.Or(cmp.Compare(tenths(a), tenths(b)), cmp.Compare(a.toll(&f.now.Figures), b.toll(&f.now.Figures)))
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// enough is the share of what is heard now that the first fix has to save to go before
// what takes more effort. Recordings never do where something cheaper leaves no more than
// plainEnough to be heard plainly.
const (
	enough      = 0.25
	plainEnough = time.Second
)

// first is the fix to try first: where more notes are at the wrong pitch than lost, what brings
// more of them into range than it moves besides; else of those without a price the one that saves most with
// the least effort, if it saves enough, else the one that saves most. It is −1 where every fix has a price.
func (f *finder) first(fixes []Fix) int {
	best := -1
	cheap := slices.ContainsFunc(fixes, func(x Fix) bool { return x.Effort < Recording && len(x.Prices) == 0 && x.Plain <= plainEnough })
	if now := &f.now.Figures; now.Wrong > now.Dropped+now.Cut { // most of what is wrong is the pitch
		for i := range fixes { // the one that mends the most with the fewest changes
			if x := &fixes[i]; x.mends(now) && !x.Near && (best < 0 || cmp.Or(cmp.Compare(x.Wrong, fixes[best].Wrong), cmp.Compare(x.Lines, fixes[best].Lines)) < 0) {
				best = i
			}
		}
		if best >= 0 {
			return best
		}
	}
	for i := range fixes {
		x := &fixes[i]
		switch {
		case len(x.Prices) > 0 || x.Near || x.Passes > 0 && cheap:
		case x.Heard <= (1-enough)*f.now.Heard:
			return i
		case best < 0 || x.Heard < fixes[best].Heard-sameHeard:
			best = i
		}
	}
	return best
}

// builtOn is the first fix all of whose changes another one has too.
func (f *finder) builtOn(fixes []Fix, i int) int {
	for j := range fixes {
		x, y := &fixes[j], &fixes[i]
		bought := y.More > 0 && slices.Equal(x.tried.state, y.tried.state)
		if x.More+x.Passes == 0 && (bought || within(x.tried.state, y.tried.state)) {
			return j
		}
	}
	return -1
}

// within tells whether all that one sets the other does too, and more.
func within(s, t state) bool {
	for i := range s {
		if s[i] != 0 && s[i] != t[i] {
			return false
		}
	}
	return !slices.Equal(s, t)
}
