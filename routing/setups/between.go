package setups

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/routing"
)

// Change is the way from one patch to another.
type Change struct {
	From, To *Patch
	Pulls    []Cable // by the panel that they come out of: interfaces and sequencers before multiples and modules
	Plugs    []Cable // by the panel that they lead to
	Stay     int     // cables that are not touched
	Switches []Switch
	// Breaks are voices whose own pitch jack gets a plug that breaks the normal
	// from the common one, and Closes those that follow the common one again.
	Breaks, Closes []int
	Silent         []int // voices that play in the one, and not in the other
}

// Switch is the switch of a bank that has to be turned over: to the common
// pitch jack, or else to the voices' own.
type Switch struct {
	Bank   int // index into Rig.Banks
	Common bool
}

// Moves is how many times a hand is needed: pulls, plugs and switches.
func (c *Change) Moves() int { return len(c.Pulls) + len(c.Plugs) + len(c.Switches) }

// Fetched are how many outs each multiple has to have that a change plugs and that is not in
// place before it, the most first: what the rig says, or else what it feeds.
func (c *Change) Fetched() (outs []int) {
	outs = []int{}
	_, then := labelBoth(c.From, c.To)
	for _, m := range then {
		switch {
		case m.number <= len(c.From.multiples):
		case m.multiple.outs > 0:
			outs = append(outs, slices.Repeat([]int{m.multiple.outs}, m.units)...)
		default:
			outs = append(outs, len(m.inputs))
		}
	}
	slices.SortFunc(outs, func(a, b int) int { return b - a })
	return outs
}

// Between is the way from one patch to another with the fewest moves.
func Between(a, b *Patch) *Change {
	from, to := Label(a, b)
	c := &Change{From: a, To: b}
	had := map[Cable]bool{}
	for _, x := range from {
		had[x] = true
	}
	wanted := map[Cable]bool{}
	for _, x := range to {
		wanted[x] = true
		if had[x] {
			c.Stay++
		} else {
			c.Plugs = append(c.Plugs, x)
		}
	}
	c.Pulls = slices.DeleteFunc(from, func(x Cable) bool { return wanted[x] })
	slices.SortStableFunc(c.Pulls, func(x, y Cable) int {
		return cmp.Or(cmp.Compare(a.layerOf(x.From), a.layerOf(y.From)), compareJacks(x.From, y.From))
	})
	slices.SortStableFunc(c.Plugs, func(x, y Cable) int { return compareJacks(x.To, y.To) })
	for bank := range a.Map.Rig.Banks {
		if x, y := slices.Contains(a.Group, bank), slices.Contains(b.Group, bank); x != y {
			c.Switches = append(c.Switches, Switch{bank, y})
		}
	}
	c.voices()
	return c
}

// voices says what becomes of normals, and which voices fall silent.
func (c *Change) voices() {
	rig, before, after := c.From.Map.Rig, c.From.Reaches(), c.To.Reaches()
	for i, v := range c.From.base.Rig.Voices {
		own := routing.Input{Bank: v.Bank, Voice: i, Input: "pitch"}
		normalled := rig.Kinds[rig.Banks[v.Bank].Kind].GroupPitch == profiles.GroupNormal
		switch was, is := before[own] != nil, after[own] != nil; {
		case normalled && is && !was:
			c.Breaks = append(c.Breaks, i)
		case normalled && was && !is:
			c.Closes = append(c.Closes, i)
		}
		if c.From.Plays(i) && !c.To.Plays(i) {
			c.Silent = append(c.Silent, i)
		}
	}
}

// layerOf is 0 for what signals come from, and 1 for what they go through.
func (p *Patch) layerOf(j Jack) int {
	if slices.ContainsFunc(p.Map.Rig.Interfaces, func(i profiles.Interface) bool { return i.Name == j.Panel }) {
		return 0
	}
	return 1
}

// compareJacks goes by panel, and by number on a panel.
func compareJacks(a, b Jack) int {
	return cmp.Or(natural(a.Panel, b.Panel), natural(a.Name, b.Name))
}

// natural compares names with the numbers at their ends as numbers.
func natural(a, b string) int {
	x, m := tail(a)
	y, n := tail(b)
	return cmp.Or(strings.Compare(x, y), cmp.Compare(m, n), strings.Compare(a, b))
}

// tail splits the digits off the end of a name, or off the end of what stands
// before its point, as in K12.gate.
func tail(name string) (head string, number int) {
	of, input, _ := strings.Cut(name, ".")
	head = strings.TrimRight(of, "0123456789")
	number, _ = strconv.Atoi(of[len(head):]) // 0 without
	return head + "." + input, number
}
