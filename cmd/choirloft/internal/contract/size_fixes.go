package contract

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"choirloft/alloc/study"
	"choirloft/profiles"
	"choirloft/routing/advise"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// effortNames are what fixes take: words of the JSON.
var effortNames = [...]string{advise.Setting: "setting", advise.Export: "export", advise.Sound: "sound", advise.Playing: "playing",
	advise.Wiring: "wiring", advise.Recording: "recording", advise.Buying: "buying"}

// figureNames are what a fix can make worse: words of the JSON.
var figureNames = [...]string{advise.Heard: "heard", advise.Dropped: "dropped", advise.Cut: "cut", advise.Lost: "lost", advise.Wrong: "wrong", advise.Late: "late", advise.Moved: "moved", advise.Longer: "longer"}

func (b *sizer) fixes(list []advise.Fix, verdict string) []Fix {
	fixes := make([]Fix, len(list))
	for i := range list {
		fixes[i] = b.fix(&list[i], i+1)
		fixes[i].Verdict = verdict
	}
	return fixes
}

func (b *sizer) fix(f *advise.Fix, number int) Fix {
	out := Fix{Command: "replay", Flags: f.Overrides.Flags(), Overrides: NewOverrides(f.Overrides), Asks: effortNames[f.Effort], After: heardCost(&f.After, f.Ear), Leaves: b.leaves(&f.After, f.NoJack),
		Saves: saving(&b.in.Now.Rig.Tally.Score, &f.After), Number: number, Lines: f.Lines, Changed: changed(&f.Figures),
		Costs: fixCosts(f), Near: f.Near, Steps: []Changed{}}
	out.After.Missing = missing(f.Faint, f.Plain, f.Heard)
	for _, o := range f.Changes {
		out.Changes = append(out.Changes, b.changes(f, o)...)
	}
	if f.Purchase != nil {
		out.Purchase = newPurchase(f.Purchase, b.in.Prices)
	}
	if f.Passes > 0 {
		out.Command, out.Flags = "write", append(out.Flags, b.passes(f)...)
		change := FixChange{Kind: "passes", Number: f.Passes}
		for _, g := range f.Groups {
			var names []string
			for _, part := range g {
				names = append(names, b.rig.Parts[part].Name)
			}
			change.Recordings = append(change.Recordings, names)
		}
		out.Changes = append(out.Changes, change)
	}
	out.Args = b.args(out.Command, f)
	for _, c := range out.Changes {
		if out.Part == nil {
			out.Part = c.Part
		}
		if !slices.Contains(out.Kinds, c.Kind) {
			out.Kinds = append(out.Kinds, c.Kind)
		}
	}
	for i := range f.Steps {
		out.Steps = append(out.Steps, *changed(&f.Steps[i]))
	}
	if f.On >= 0 {
		on := f.On + 1
		out.On = &on
	}
	out.Harms, out.KeepBanks, out.Shared = b.harms(f), b.keepBanks(out.Changes), b.shared(f)
	return out
}

// harms are the parts that lose more with a fix.
func (b *sizer) harms(f *advise.Fix) []FixHarm {
	list := []FixHarm{}
	for _, h := range f.Harms {
		list = append(list, FixHarm{b.rig.Parts[h.Part].Name, h.Notes, seconds(h.Lost)})
	}
	return list
}

// keepBanks are the set-ups that name banks for their parts, where changes move parts to others.
func (b *sizer) keepBanks(changes []FixChange) []string {
	list := []string{}
	for _, s := range b.rig.SetUps {
		if len(s.Parts) > 0 && slices.ContainsFunc(changes, func(c FixChange) bool { return c.Kind == "banks" }) {
			list = append(list, s.Name)
		}
	}
	return list
}

// shared are the banks on which parts play with a fix, and did not before.
func (b *sizer) shared(f *advise.Fix) []SharedBank {
	list := []SharedBank{}
	for _, s := range f.Shared {
		bank := &b.rig.Banks[s.Bank]
		list = append(list, SharedBank{b.rig.Parts[s.Part].Name, bank.Name, effortNames[s.Effort], slices.Concat([]string{}, bank.Lanes)})
	}
	return list
}

// fixCosts are what a fix makes worse.
func fixCosts(f *advise.Fix) []FixCost {
	costs := []FixCost{}
	for _, p := range f.Prices {
		costs = append(costs, FixCost{figureNames[p.What], round3(p.By)})
	}
	return costs
}

// passes are the words that ask for recordings.
func (b *sizer) passes(f *advise.Fix) []string {
	if f.Groups != nil {
		return []string{"--passes", plan.GroupsText(b.rig, f.Groups)}
	}
	return []string{"--passes", strconv.Itoa(f.Passes)}
}

// args are the words of the command with which a fix is played.
func (b *sizer) args(command string, f *advise.Fix) []string {
	words := append([]string{"choirloft", command, b.rig.File, b.in.File}, b.in.Plan.Overrides.With(f.Overrides).Flags()...)
	if f.Passes > 0 {
		words = append(words, b.passes(f)...)
	}
	return words
}

func round3(v float64) float64 { return math.Round(1000*v) / 1000 }

// tried is what became of a song, and for how long something is heard to be missing.
func tried(t *whatif.Trial) Cost {
	c := cost(&t.After)
	if t.Listened {
		c.Missing = missing(t.Heard.Measure.Faint, t.Heard.Plain, t.Heard.Loud)
	}
	return c
}

// missing is for how long something is heard to be missing.
func missing(heard, plain time.Duration, loud float64) *Missing {
	return &Missing{seconds(heard), seconds(plain), round3(loud)}
}

func changed(f *advise.Figures) *Changed {
	return &Changed{f.Dropped, f.Cut, seconds(f.Lost), seconds(f.Late), missing(f.Faint, f.Plain, f.Heard)}
}

// settings says how far a search came.
func settings(a *advise.Advice) *Settings {
	s := &Settings{Played: a.Tried, Of: a.Of, Whole: a.Whole, Short: a.Short}
	if a.Further != nil {
		percent := round3(100 * *a.Further)
		s.FurtherPercent = &percent
	}
	return s
}

// heardCost is a cost with what is heard of the song then.
func heardCost(s *study.Score, e *whatif.Ear) Cost {
	c := cost(s)
	if e != nil && e.Counted {
		c.Heard = heardAfter(&e.Verdict)
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

// changes are what overrides of one kind change: who plays where, or a value for each part.
func (b *sizer) changes(f *advise.Fix, o plan.Overrides) (list []FixChange) {
	if len(o.Banks) > 0 {
		list = append(list, FixChange{Kind: "banks", Banks: b.partBanks(o.Banks)})
		o.Banks = nil
	}
	if len(o.Voices)+len(o.More)+len(o.Buy) > 0 {
		list = append(list, FixChange{Kind: "voices", Number: b.in.Now.Rig.Voices + f.More, More: f.More})
		o.Voices, o.More, o.Buy = nil, nil, nil
	}
	for _, w := range o.Words() {
		c := FixChange{Kind: strings.TrimPrefix(w.Flag, "--"), Part: optional(w.Part), Value: w.Value}
		if n, err := strconv.Atoi(w.Value); err == nil {
			c.Number, c.Value = n, ""
		}
		if w.Flag == "--transpose" {
			at := slices.IndexFunc(b.rig.Parts, func(p profiles.Part) bool { return p.Name == w.Part })
			c.Semitones = c.Number - b.rig.Parts[at].Transpose
		}
		if w.Flag == "--zero-key" {
			c.Part, c.Interface, c.Value = nil, w.Part, KeyName(c.Number, int(b.rig.MiddleC))
		}
		list = append(list, c)
	}
	return list
}

// partBanks says who plays where.
func (b *sizer) partBanks(values []plan.For[plan.Seats]) (list []PartBanks) {
	for _, v := range values {
		for i, x := range v.Value {
			on := PartBanks{Part: v.Part, Banks: x.Banks}
			if i > 0 {
				on.FromKey, on.FromKeyName = int(x.From), KeyName(int(x.From), int(b.rig.MiddleC))
			}
			list = append(list, on)
		}
	}
	return list
}

func (b *sizer) variations() []Variation {
	var list []Variation
	for _, v := range b.in.Varied {
		list = append(list, Variation{v.What, v.Value, v.Now, v.Overrides.Flags(), tried(&v.Trial)})
	}
	return list
}

func (b *sizer) absences() []Absence {
	var list []Absence
	best := -1
	now := &b.in.Now.Rig.Tally.Score
	for i, a := range b.in.Drill {
		list = append(list, Absence{Voice: a.Voice + 1, Name: b.rig.Voices[a.Voice].Name, After: tried(&a.Trial), Leaves: b.leaves(&a.After, a.NoJack), Costs: saving(now, &a.After)})
		if best < 0 || cmp.Or(cmp.Compare(a.Heard.Loud, b.in.Drill[best].Heard.Loud), a.After.Compare(&b.in.Drill[best].After)) < 0 {
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
