package whatif

import (
	"context"
	"strconv"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// Variation is one thing changed by one step, and what became of the song.
type Variation struct {
	What      string // voices, release, unison, pick, steal, tails
	Value     string // as it is said: a number, a time, the name of a rule
	Now       bool   // how things are
	Overrides plan.Overrides
	After     study.Score
}

// furthest is how many voices more or fewer are tried, and releaseSteps are
// the shares of the release, in hundredths.
const furthest = 6

var releaseSteps = []int{25, 50, 75, 100, 150, 200}

// Vary changes one thing at a time: the voices by up to 6, the release from a
// quarter to the double, the unison from 1 to the double, and the rules. It
// returns the error of ctx if that ends first.
func (s *Session) Vary(ctx context.Context) ([]Variation, error) {
	v := &varier{collector: collector{Session: s, cfg: &s.plan.Rules.Config}}
	v.byVoices()
	v.byRelease()
	v.byUnison()
	v.byRule()
	done, err := s.try(ctx, s.affordable("variations", v.fixes), false, nil)
	if err != nil {
		return nil, err
	}
	list := make([]Variation, len(done))
	for i, f := range done {
		list[i] = v.notes[f.order]
		list[i].Overrides, list[i].After = f.Overrides, f.After
	}
	return list, nil
}

// varier gathers variations: remedies with a note about each, by order.
type varier struct {
	collector
	notes []Variation
}

func (v *varier) vary(what, value string, now bool, o plan.Overrides) {
	v.notes = append(v.notes, Variation{What: what, Value: value, Now: now})
	v.add("", wholeRig, Setting, o)
}

func (v *varier) byVoices() {
	have := v.before.Rig.Voices
	for n := max(1, have-furthest); n <= have+furthest; n++ {
		if o, ok := v.withVoices(n); ok {
			v.vary("voices", strconv.Itoa(n), n == have, o)
		}
	}
}

func (v *varier) byRelease() {
	longest := v.longestRelease(wholeRig)
	for _, share := range releaseSteps {
		d, ok := twoDigits(longest * time.Duration(share) / 100)
		switch {
		case share == 100:
			v.vary("release", plan.TypedTime(longest), true, plan.Overrides{})
		case ok:
			v.vary("release", plan.TypedTime(d), false, plan.Overrides{Release: plan.All(d)})
		}
	}
}

func (v *varier) byUnison() {
	largest := 1
	for i := range v.cfg.Parts {
		largest = max(largest, v.cfg.Parts[i].Unison.Voices)
	}
	same := v.all(func(p *alloc.Part) bool { return max(1, p.Unison.Voices) == largest })
	for n := 1; n <= 2*largest; n++ {
		if n == largest && same {
			v.vary("unison", strconv.Itoa(n), true, plan.Overrides{})
			continue
		}
		v.vary("unison", strconv.Itoa(n), false, plan.Overrides{Unison: plan.All(n)})
	}
}

func (v *varier) byRule() {
	for _, name := range alloc.PickNames() {
		if rule, _ := alloc.ParsePick(name); rule != alloc.PickFixed {
			v.vary("pick", name, v.all(func(p *alloc.Part) bool { return p.Pick == rule }), plan.Overrides{Pick: plan.All(plan.Pick{First: rule})})
		}
	}
	for _, name := range alloc.StealNames() {
		rule, _ := alloc.ParseSteal(name)
		v.vary("steal", name, v.all(func(p *alloc.Part) bool { return p.Steal == rule }), plan.Overrides{Steal: plan.All(rule)})
	}
	for _, unknown := range []bool{false, true} {
		name := map[bool]string{false: "known", true: "unknown"}[unknown]
		v.vary("tails", name, v.all(func(p *alloc.Part) bool { return p.TailsUnknown == unknown }), plan.Overrides{Tails: plan.All(unknown)})
	}
}

// Absence is a voice that is out, and what became of the song without it.
type Absence struct {
	Voice int // index
	After study.Score
	// NoJack counts the voices in service then whose pitch or gate has no jack.
	NoJack int
}

// Drill takes each voice in service out in turn. The one whose absence costs
// least, by [study.Score.Compare] and then by number, is the best to do without.
func (s *Session) Drill(ctx context.Context) ([]Absence, error) {
	c := &collector{Session: s, cfg: &s.plan.Rules.Config}
	var voices []int
	for i, v := range c.cfg.Voices {
		if v.State.InService() {
			voices = append(voices, i)
		}
	}
	for _, i := range voices {
		c.begin()
		c.add("", wholeRig, Setting, s.without(i))
	}
	done, err := s.try(ctx, s.affordable("drill", c.fixes), false, nil)
	if err != nil {
		return nil, err
	}
	list := make([]Absence, len(done))
	for i, f := range done {
		list[i] = Absence{Voice: voices[f.order], After: f.After, NoJack: f.NoJack}
	}
	return list, nil
}

// without takes a voice out, and where only the first so many play lets no
// other one come in for it.
func (s *Session) without(voice int) plan.Overrides {
	o := plan.Overrides{Without: []string{s.plan.Rig.Voices[voice].Name}}
	if len(s.base.Voices) == 1 && s.before.Rig.Voices > 1 {
		o.Voices = plan.All(s.before.Rig.Voices - 1)
	}
	return o
}
