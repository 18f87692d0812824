package contract

import (
	"choirloft/profiles/unit"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Beyond is the number of damaged notes that are more than a legato overlap.
func (c *Cost) Beyond() int { return c.Damaged - c.OverlapOnly }

// DamageText is the number of damaged notes, and which of them are legato.
func (c *Cost) DamageText() string {
	switch {
	case c.OverlapOnly == 0:
		return unit.Cell(c.Damaged)
	case c.Beyond() == 0:
		return fmt.Sprintf("%d legato", c.OverlapOnly)
	}
	return fmt.Sprintf("%d + %d legato", c.Beyond(), c.OverlapOnly)
}

// mostRows is how many rows of the curve a page has room for.
const mostRows = 12

// Rows chooses the rows of the curve that a page shows: all, or those around
// the numbers that matter, and evenly spaced ones between.
func (s *SizeResult) Rows() []*SizePoint {
	wanted := map[int]bool{}
	mark := func(n int) {
		if n >= 1 && n <= len(s.Curve) && len(wanted) < mostRows {
			wanted[n] = true
		}
	}
	e := s.Enough
	for _, n := range []int{s.Voices, e.Pedal, e.Audible, e.Held, e.Pedal - 1, s.Voices + s.bankSize, s.Voices - s.bankSize, e.Audible - 1} {
		mark(n)
	}
	for step := max(1, (len(s.Curve)+mostRows-1)/mostRows); len(wanted) < min(mostRows, len(s.Curve)) && step > 0; step-- {
		for n := step; n <= len(s.Curve); n += step {
			mark(n)
		}
	}
	var rows []*SizePoint
	for i := range s.Curve {
		if wanted[s.Curve[i].Voices] {
			rows = append(rows, &s.Curve[i])
		}
	}
	return rows
}

// Mark says what a row of the curve stands for.
func (s *SizeResult) Mark(p *SizePoint) string {
	var words []string
	for _, m := range []struct {
		n    int
		what string
	}{{s.Enough.Held, "keys"}, {s.Enough.Pedal, "pedal"}, {s.Enough.Audible, "tails"}, {s.Voices, "in service"}} {
		if m.n == p.Voices {
			words = append(words, m.what)
		}
	}
	if s.Enough.Held == s.Enough.Pedal {
		words = slices.DeleteFunc(words, func(w string) bool { return w == "pedal" })
	}
	return strings.Join(words, ", ")
}

// ShownRules names the rules of the columns of the curve: those of the rig,
// then the rulesets that are shown.
func (s *SizeResult) ShownRules() []string {
	names := []string{s.Rules}
	for _, i := range s.shown {
		r := &s.Curve[0].Rules[i]
		names = append(names, r.Pick+", "+r.Steal+", tails "+r.Tails)
	}
	return names
}

// Shown returns the costs of a row by column of [SizeResult.ShownRules].
func (s *SizeResult) Shown(p *SizePoint) []*Cost {
	costs := []*Cost{&p.Own}
	for _, i := range s.shown {
		costs = append(costs, &p.Rules[i].Cost)
	}
	return costs
}

// ShownFixes returns up to n remedies, no more than two that begin with the same
// kind: a page is for what differs.
func (s *SizeResult) ShownFixes(n int) []*Fix {
	const alike = 2
	var shown []*Fix
	kinds := map[string]int{}
	for i := range s.Fixes {
		f := &s.Fixes[i]
		if kinds[f.Kinds[0]]++; kinds[f.Kinds[0]] <= alike && len(shown) < n {
			shown = append(shown, f)
		}
	}
	return shown
}

// Apart is what the parts want that each has its own voices.
func (s *SizeResult) Apart() Enough {
	var sum Enough
	for _, p := range s.ByPart {
		sum.Held, sum.Pedal, sum.Audible = sum.Held+p.Enough.Held, sum.Pedal+p.Enough.Pedal, sum.Audible+p.Enough.Audible
	}
	return sum
}

// Floor is the fewest notes that any rule damages on the voices in service.
func (s *SizeResult) Floor() int {
	if s.Voices >= 1 && s.Voices <= len(s.Curve) {
		return s.Curve[s.Voices-1].FewestDamaged
	}
	return 0
}

// HarmlessFrom is the number of voices from which on the rig's rules damage no
// note, and that from which on they cut no tail audibly.
func (s *SizeResult) HarmlessFrom() string {
	number := func(n int) string {
		if n == 0 {
			return unit.None
		}
		return strconv.Itoa(n)
	}
	return number(s.ownFrom(func(c *Cost) bool { return c.Damaged == 0 })) + " / " +
		number(s.ownFrom(func(c *Cost) bool { return c.Damaged == 0 && c.TailCuts == 0 }))
}

// CurrentText is what a rack's banks draw.
func (r *RackSize) CurrentText() string {
	var words []string
	for _, c := range r.Current {
		words = append(words, fmt.Sprintf("%+d: %.0f mA", c.Rail, c.MA))
	}
	if len(words) == 0 {
		return unit.None
	}
	return strings.Join(words, " ")
}

// PriceText is what a rack costs, in the unit of the prices given.
func (r *RackSize) PriceText() string {
	if r.Price == nil {
		return unit.None
	}
	return strconv.FormatFloat(*r.Price, 'f', -1, 64)
}

// SplitText says who has how many banks.
func (r *RackSize) SplitText() string {
	var words []string
	for _, g := range r.Split {
		words = append(words, fmt.Sprintf("%d %s", g.Banks, strings.Join(g.Parts, "+")))
	}
	if len(words) == 0 {
		return unit.None
	}
	return strings.Join(words, ", ")
}
