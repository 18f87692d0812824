package whatif

import (
	"slices"

	"choirloft/alloc"
	"choirloft/routing/plan"
)

// collector gathers remedies.
type collector struct {
	*Session
	cfg    *alloc.Config
	fixes  []Fix
	family int
}

// candidates lists every remedy that there is to try, each family from the
// mildest. It lists them once.
func (s *Session) candidates() []Fix {
	if s.all != nil {
		return s.all
	}
	c := &collector{Session: s, cfg: &s.plan.Rules.Config}
	c.rules()
	c.tails()
	for i := range c.cfg.Parts {
		c.reserves(i)
		c.ownBanks(i)
		c.unisons(i)
		c.edits(i)
	}
	c.bankEach()
	c.releases()
	c.voices()
	s.all = c.fixes
	return s.all
}

// begin starts a family.
func (c *collector) begin() { c.family++ }

func (c *collector) add(kind Kind, part int, cost Cost, o plan.Overrides) {
	c.fixes = append(c.fixes, Fix{Kinds: []Kind{kind}, Each: []plan.Overrides{o}, Part: part, Cost: cost, Overrides: o, family: c.family, order: len(c.fixes)})
}

// only aims a value at one part.
func only[T any](c *collector, part int, value T) []plan.For[T] {
	return plan.Only(c.cfg.Parts[part].Name, value)
}

const wholeRig = -1

// rules tries each picking and each stealing rule on every part. What can be
// set on an interface goes before what takes foresight.
func (c *collector) rules() {
	for _, name := range alloc.PickNames() {
		rule, _ := alloc.ParsePick(name)
		if rule == alloc.PickFixed || c.all(func(p *alloc.Part) bool { return p.Pick == rule }) {
			continue
		}
		c.begin()
		c.add(Pick, wholeRig, Setting, plan.Overrides{Pick: plan.All(plan.Pick{First: rule})})
	}
	for _, name := range alloc.StealNames() {
		rule, _ := alloc.ParseSteal(name)
		if c.all(func(p *alloc.Part) bool { return p.Steal == rule }) {
			continue
		}
		cost := Setting
		if rule.Foresight() {
			cost = Export
		}
		c.begin()
		c.add(Steal, wholeRig, cost, plan.Overrides{Steal: plan.All(rule)})
	}
}

func (c *collector) all(is func(*alloc.Part) bool) bool {
	for i := range c.cfg.Parts {
		if !is(&c.cfg.Parts[i]) {
			return false
		}
	}
	return true
}

func (c *collector) tails() {
	if c.all(func(p *alloc.Part) bool { return !p.TailsUnknown }) {
		return
	}
	c.begin()
	c.add(Tails, wholeRig, Export, plan.Overrides{Tails: plan.All(false)})
}

// mostReserve is the largest reserve that is tried.
const mostReserve = 4

// reserves keeps voices for a part that others could take them from.
func (c *collector) reserves(part int) {
	p := &c.cfg.Parts[part]
	if !c.shares(part) {
		return
	}
	c.begin()
	for n := p.Reserve + 1; n <= min(mostReserve, c.before.Parts[part].Demand.Pedal); n++ {
		c.add(Reserve, part, Setting, plan.Overrides{Reserve: only(c, part, n)})
	}
}

// shares tells whether another part plays on a bank of this one.
func (c *collector) shares(part int) bool {
	for i := range c.cfg.Parts {
		if i != part && slices.ContainsFunc(c.cfg.Parts[i].Banks, func(b int) bool {
			return slices.Contains(c.cfg.Parts[part].Banks, b)
		}) {
			return true
		}
	}
	return false
}

// serving counts the voices in service by bank.
func (c *collector) serving() []int {
	count := make([]int, len(c.plan.Rig.Banks))
	for _, v := range c.cfg.Voices {
		if v.State.InService() {
			count[v.Bank]++
		}
	}
	return count
}

// ownBanks gives a part the last of its banks for itself: one, or as many as
// its peak takes.
func (c *collector) ownBanks(part int) {
	if !c.shares(part) {
		return
	}
	c.begin()
	count, voices := c.serving(), 0
	var own []int
	for _, b := range slices.Backward(c.cfg.Parts[part].Banks) {
		if count[b] == 0 {
			continue
		}
		if len(own) > 0 && voices >= c.before.Parts[part].Demand.Pedal {
			return
		}
		own, voices = append(own, b), voices+count[b]
		if banks, ok := c.apart(part, own, count); ok {
			c.add(Banks, part, Setting, plan.Overrides{Banks: banks})
		}
	}
}

// apart gives banks to one part alone and leaves the rest to the others. It is
// false where some part would be left without a voice.
func (c *collector) apart(part int, own, count []int) (values []plan.For[[]string], ok bool) {
	for i := range c.cfg.Parts {
		p := &c.cfg.Parts[i]
		banks := own
		if i != part {
			banks = slices.DeleteFunc(slices.Clone(p.Banks), func(b int) bool { return slices.Contains(own, b) || count[b] == 0 })
		}
		if len(banks) == 0 {
			return nil, false
		}
		values = append(values, only(c, i, c.names(banks))...)
	}
	return values, true
}

func (c *collector) names(banks []int) (names []string) {
	for _, b := range slices.Sorted(slices.Values(banks)) {
		names = append(names, c.plan.Rig.Banks[b].Name)
	}
	return names
}

// bankEach deals the banks out to the parts, each of which has its own: one to
// each, then one by one to the part that is shortest of voices for its peak.
func (c *collector) bankEach() {
	count := c.serving()
	var free []int
	for b, n := range count {
		if n > 0 {
			free = append(free, b)
		}
	}
	parts := len(c.cfg.Parts)
	if parts < 2 || parts > len(free) || !c.all(func(p *alloc.Part) bool { return len(p.Banks) == len(c.plan.Rig.Banks) }) {
		return
	}
	banks, voices := make([][]int, parts), make([]int, parts)
	for n, b := range free {
		to := n
		if n >= parts {
			to = 0
			for i := range parts {
				if c.short(i, voices[i]) > c.short(to, voices[to]) {
					to = i
				}
			}
		}
		banks[to], voices[to] = append(banks[to], b), voices[to]+count[b]
	}
	var values []plan.For[[]string]
	for i := range parts {
		values = append(values, only(c, i, c.names(banks[i]))...)
	}
	c.begin()
	c.add(Banks, wholeRig, Setting, plan.Overrides{Banks: values})
}

// short is how many voices a part wants beyond those it has.
func (c *collector) short(part, voices int) int { return c.before.Parts[part].Demand.Pedal - voices }
