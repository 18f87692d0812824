package contract

import (
	"choirloft/alloc/study"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

var verdictNames = map[whatif.Verdict]string{whatif.Worse: "worse", whatif.Same: "same", whatif.Better: "better"}

// costNames are what remedies ask for: words of the JSON.
var costNames = [...]string{whatif.Setting: "setting", whatif.Export: "export", whatif.Knobs: "sound",
	whatif.Playing: "playing", whatif.Recording: "recording", whatif.Buying: "buying"}

func (b *sizer) fixes(list []whatif.Fix) []Fix {
	fixes := make([]Fix, len(list))
	before := &b.in.Fixes.Before
	for i := range list {
		f := &list[i]
		fixes[i] = Fix{Changes: b.changes(f), Command: "replay", Flags: f.Flags(), Overrides: NewOverrides(f.Overrides), Asks: costNames[f.Cost],
			Verdict: verdictNames[b.in.Fixes.Verdict(f)], After: heardCost(&f.After, f.Heard), Leaves: b.leaves(&f.After, f.NoJack), Saves: saving(before, &f.After)}
		if f.Passes > 0 {
			fixes[i].Command = "write"
		}
		for _, k := range f.Kinds {
			fixes[i].Kinds = append(fixes[i].Kinds, string(k))
		}
		if f.Part >= 0 {
			fixes[i].Part = &b.rig.Parts[f.Part].Name
		}
	}
	return fixes
}

// heardCost is a cost with what is heard of the song then.
func heardCost(s *study.Score, e *whatif.Ear) Cost {
	c := cost(s)
	if e != nil && e.Counted {
		c.Heard = &HeardAfter{e.Plainly, e.Losses, e.SharePlain}
	}
	return c
}

// leaves is what plays wrong besides: no fix changes which notes have a part.
func (b *sizer) leaves(s *study.Score, noJack int) Wrong {
	return Wrong{s.Missed, b.in.Sizing.Reference.Unmapped, noJack}
}

func saving(before, after *study.Score) Saving {
	return Saving{before.Damaged() - after.Damaged(), seconds(before.Lost - after.Lost), before.TailCuts() - after.TailCuts()}
}

// changes are what a remedy changes, by its kinds.
func (b *sizer) changes(f *whatif.Fix) []FixChange {
	list := make([]FixChange, len(f.Kinds))
	for i, k := range f.Kinds {
		c := FixChange{Kind: string(k)}
		switch o := &f.Each[i]; k {
		case whatif.Passes:
			c.Number = f.Passes
		case whatif.Banks:
			c.Banks = partBanks(o.Banks)
		case whatif.Voices:
			c.Number = b.voicesIn(o)
			c.More = c.Number - b.in.Now.Rig.Voices
		default:
			c.aim(k, o)
		}
		list[i] = c
	}
	return list
}

// aim fills in the value of a kind that has one, and the part it is for.
func (c *FixChange) aim(k whatif.Kind, o *plan.Overrides) {
	word := o.Words()[0]
	c.Part = optional(word.Part)
	switch k {
	case whatif.Reserve:
		c.Number = o.Reserve[0].Value
	case whatif.Unison:
		c.Number = o.Unison[0].Value
	default:
		c.Value = word.Value
	}
}

// partBanks says who plays where.
func partBanks(values []plan.For[[]string]) (list []PartBanks) {
	for _, v := range values {
		list = append(list, PartBanks{v.Part, v.Value})
	}
	return list
}

// voicesIn is how many voices there are with a remedy that adds some.
func (b *sizer) voicesIn(o *plan.Overrides) int {
	if len(o.Voices) > 0 {
		return o.Voices[0].Value
	}
	return b.in.Now.Rig.Voices + o.More[0].Value
}

func (b *sizer) variations() []Variation {
	var list []Variation
	for _, v := range b.in.Varied {
		list = append(list, Variation{v.What, v.Value, v.Now, v.Overrides.Flags(), cost(&v.After)})
	}
	return list
}

func (b *sizer) absences() []Absence {
	var list []Absence
	best := -1
	now := &b.in.Now.Rig.Tally.Score
	for i, a := range b.in.Drill {
		list = append(list, Absence{Voice: a.Voice + 1, Name: b.rig.Voices[a.Voice].Name, After: cost(&a.After), Leaves: b.leaves(&a.After, a.NoJack), Costs: saving(now, &a.After)})
		if best < 0 || a.After.Compare(&b.in.Drill[best].After) < 0 {
			best = i
		}
	}
	if best >= 0 {
		list[best].Best = true
	}
	return list
}

func (b *sizer) racks() []RackSize {
	var racks []RackSize
	for i := range b.in.Racks {
		r := &b.in.Racks[i]
		one := RackSize{Name: r.Name, Banks: r.Banks, PerBank: r.Size, Voices: r.Banks * r.Size, CVs: r.CVs, Gates: r.Gates,
			MissingJack: r.Missing, HP: r.HP, Price: r.Price, Shared: cost(&r.Shared), SplitCost: cost(&r.Split.Score), Current: []RailDraw{}}
		if r.Heard != nil {
			figures := heardFigures(&r.Heard.Verdict, false)
			one.Heard = &figures
		}
		for _, c := range r.Current {
			one.Current = append(one.Current, RailDraw{int(c.Rail), float64(c.Amps) * 1000})
		}
		for _, g := range r.Split.Groups {
			group := RackGroup{Banks: g.Banks}
			for _, p := range g.Parts {
				group.Parts = append(group.Parts, b.rig.Parts[p].Name)
			}
			one.Split = append(one.Split, group)
		}
		racks = append(racks, one)
	}
	return racks
}
