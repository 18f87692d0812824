package contract

import (
	"fmt"
	"strings"

	"choirloft/alloc/study"
	"choirloft/profiles/unit"
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
		fixes[i] = Fix{Text: b.fixText(f), Command: "replay", Flags: f.Flags(), Asks: costNames[f.Cost],
			Verdict: verdictNames[f.Against(before)], After: cost(&f.After), Saves: saving(before, &f.After)}
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

func saving(before, after *study.Score) Saving {
	return Saving{before.Damaged() - after.Damaged(), seconds(before.Lost - after.Lost), before.TailCuts() - after.TailCuts()}
}

// fixText says what to do.
func (b *sizer) fixText(f *whatif.Fix) string {
	var words []string
	for _, k := range f.Kinds {
		if k == whatif.Passes {
			words = append(words, unit.Count(f.Passes, "recording")+" to be mixed")
			continue
		}
		words = append(words, b.kindText(k, &f.Overrides))
	}
	return strings.Join(words, ", and ")
}

func (b *sizer) kindText(k whatif.Kind, o *plan.Overrides) string {
	switch k {
	case whatif.Pick:
		return "pick " + o.Pick[0]
	case whatif.Steal:
		return "steal " + o.Steal[0]
	case whatif.Tails:
		return "export it, so that tails are known"
	case whatif.Reserve:
		part, n := aimed(o.Reserve[0])
		if n == "1" {
			return "keep 1 voice for " + part
		}
		return "keep " + n + " voices for " + part
	case whatif.Banks:
		return "banks: " + banksText(o.Banks)
	case whatif.Unison:
		part, n := aimed(o.Unison[0])
		return fmt.Sprintf("%s with a unison of %s", part, n)
	case whatif.Release:
		part, d := aimed(o.Release[0])
		return "release " + d + " for " + part
	case whatif.Trim:
		part, d := aimed(o.Trim[0])
		return fmt.Sprintf("end %s's notes at the next, overlaps up to %s", part, d)
	case whatif.Lift:
		part, d := aimed(o.Lift[0])
		return fmt.Sprintf("lift %s's pedal %s earlier", part, d)
	case whatif.Doubles:
		part, _ := aimed(o.Doubles[0])
		return fmt.Sprintf("drop %s's doubled octaves", part)
	case whatif.Voices:
		return b.voicesText(o)
	}
	return string(k)
}

// aimed takes the part off a value; what is for the whole rig is for all.
func aimed(value string) (part, rest string) {
	if part, rest, ok := strings.Cut(value, "="); ok {
		return part, rest
	}
	return "all", value
}

// banksText says who plays where, parts on the same banks together.
func banksText(values []string) string {
	var order []string
	parts := map[string][]string{}
	for _, v := range values {
		part, banks := aimed(v)
		if parts[banks] == nil {
			order = append(order, banks)
		}
		parts[banks] = append(parts[banks], part)
	}
	var words []string
	for _, banks := range order {
		words = append(words, unit.List(parts[banks])+" on "+strings.ReplaceAll(banks, ",", " "))
	}
	return strings.Join(words, "; ")
}

func (b *sizer) voicesText(o *plan.Overrides) string {
	have := b.in.Now.Rig.Voices
	want := have
	if len(o.Voices) > 0 {
		fmt.Sscan(o.Voices[0], &want)
	} else {
		more := 0
		fmt.Sscan(o.More[0], &more)
		want += more
	}
	return fmt.Sprintf("%s more: %d", unit.Count(want-have, "voice"), want)
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
		list = append(list, Absence{Voice: a.Voice + 1, Name: b.rig.Voices[a.Voice].Name, After: cost(&a.After), Costs: saving(now, &a.After)})
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
