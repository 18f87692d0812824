package plan

import (
	"cmp"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/purchase"
)

// ForVoices returns overrides with which a rig has a number of voices in service, from 1, or a
// part may hold so many. Fewer than there are keep the first of them, or limit the part; for more,
// those come back that a number of voices left out. Beyond these they are bought, in whole banks
// like one that most parts play on, as [Overrides.Buy] has it: as many as that takes, or where it is
// fewer than now, as many as are left. What the rack cannot hold of any such bank is an *[OverrideError].
func (o Overrides) ForVoices(rig *profiles.Rig, part string, n int) (Overrides, error) {
	now, err := Draft(rig, o)
	if err != nil {
		return o, err
	}
	p, o, err := o.racked(rig, part, n)
	if err != nil {
		return o, err
	}
	few := &o.Voices
	if part != "" {
		few = &o.Limit
	}
	have, limit := p.Serving(part)
	if n < have || limit > 0 && n != limit {
		*few = append(slices.Clone(*few), For[int]{part, max(1, n)})
	}
	if n <= have {
		return o, nil
	}
	before, _ := now.Serving(part)
	var refused error
	for _, bank := range p.likely(part) {
		size := rig.Banks[bank].Size
		banks := (n - have + size - 1) / size
		if n < before {
			banks = (n - have) / size
		}
		if banks == 0 {
			return o, nil
		}
		more := o
		more.Buy = []For[Buy]{{Value: Buy{Like: rig.Banks[bank].Name, Banks: min(banks, purchase.Most)}}}
		if _, err = Draft(rig, more); err == nil {
			return more, nil
		}
		refused = cmp.Or(refused, err)
	}
	return o, refused
}

// racked leaves out what was bought and, of a part, how many voices it may hold; where that does not
// have so many voices in service, it leaves out too how many are to be.
func (o Overrides) racked(rig *profiles.Rig, part string, n int) (*Plan, Overrides, error) {
	without := func(list []For[int], part string) []For[int] {
		return slices.DeleteFunc(slices.Clone(list), func(v For[int]) bool { return v.Part == part })
	}
	o.Buy = nil
	if part == "" {
		o.Voices = without(o.Voices, part)
	} else {
		o.Limit = without(o.Limit, part)
	}
	p, err := Draft(rig, o)
	if err != nil {
		return nil, o, err
	}
	if have, _ := p.Serving(part); n > have && part != "" {
		o.Voices = without(without(o.Voices, part), "")
		p, err = Draft(rig, o)
	}
	return p, o, err
}

// Racked counts the voices that are there for a part, or in all, without what the plan buys and
// leaves out of service; bank is by how many further banks would go: see [Overrides.ForVoices].
func (p *Plan) Racked(part string) (voices, bank int, err error) {
	racked, _, err := p.Overrides.racked(p.Unchanged, part, math.MaxInt)
	if err != nil {
		return 0, 0, err
	}
	voices, _ = racked.Serving(part)
	if likely := racked.likely(part); len(likely) > 0 {
		bank = p.Unchanged.Banks[likely[0]].Size
	}
	return voices, bank, nil
}

// Serving counts the voices in service, in all or in the banks of a part, and says how many of
// them the part may hold at once; 0 where it has no limit.
func (p *Plan) Serving(part string) (n, limit int) {
	if part == "" {
		return p.InService(), 0
	}
	for i := range p.Rig.Parts {
		x := &p.Rig.Parts[i]
		if x.Name != part {
			continue
		}
		limit = x.Limit
		for _, v := range p.Rules.Config.Voices {
			if v.State.InService() && slices.Contains(x.Banks, v.Bank) {
				n++
			}
		}
	}
	return n, limit
}

// likely are the banks of the rig as it is given that further banks may be like: those that a part
// plays on, or all; the last of those first that most parts play on.
func (p *Plan) likely(part string) (banks []int) {
	of := func(bank int) (parts int) {
		for i := range p.Rig.Parts {
			if slices.Contains(p.Rig.Parts[i].Banks, bank) {
				parts++
			}
		}
		return parts
	}
	for bank := range p.Unchanged.Banks {
		if part == "" || slices.ContainsFunc(p.Rig.Parts, func(x profiles.Part) bool { return x.Name == part && slices.Contains(x.Banks, bank) }) {
			banks = append(banks, bank)
		}
	}
	slices.SortFunc(banks, func(a, b int) int { return cmp.Or(of(b)-of(a), b-a) })
	return banks
}
