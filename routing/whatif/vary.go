package whatif

import (
	"context"
	"slices"
	"strconv"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/crew"
	"choirloft/alloc/study"
	"choirloft/routing/plan"
)

// Variation is one thing changed by one step, and what became of the song.
type Variation struct {
	What      string // voices, release, unison, pick, steal, tails
	Value     string // as it is said: a number, a time, the name of a rule
	Now       bool   // how things are
	Overrides plan.Overrides
	Trial
}

// furthest is how many voices more or fewer are tried, and releaseSteps are
// the shares of the release, in hundredths.
const furthest = 6

var releaseSteps = []int{25, 50, 75, 100, 150, 200}

// Vary changes one thing at a time: the voices by up to 6, the release from a
// quarter to the double, the unison from 1 to the double, and the rules. It
// returns the error of ctx if that ends first.
func (s *Session) Vary(ctx context.Context) ([]Variation, error) {
	v := &varier{Session: s, cfg: &s.plan.Rules.Config}
	v.byVoices()
	v.byRelease()
	v.byUnison()
	v.byRule()
	tops := make([]plan.Overrides, len(v.list))
	for i := range tops {
		tops[i] = v.list[i].Overrides
	}
	done, err := s.each(ctx, "variations", tops)
	var list []Variation
	for i, d := range done {
		if d != nil {
			v.list[i].Trial = *d
			list = append(list, v.list[i])
		}
	}
	return list, err
}

// each tries each of some overrides, as far as the budget goes: nil where the rig cannot
// follow them.
func (s *Session) each(ctx context.Context, what string, tops []plan.Overrides) ([]*Trial, error) {
	n := s.Budget.Prefix(len(tops), func(i int) study.Work { return s.TryWork(tops[i]) })
	s.cover(what, n, len(tops))
	done := make([]*Trial, n)
	err := crew.Do(ctx, n, func(context.Context) func(int) error {
		return func(i int) error {
			done[i], _ = s.Try(tops[i])
			return nil
		}
	})
	return done, err
}

// varier gathers variations.
type varier struct {
	*Session
	cfg  *alloc.Config
	list []Variation
}

func (v *varier) vary(what, value string, now bool, o plan.Overrides) {
	v.list = append(v.list, Variation{What: what, Value: value, Now: now, Overrides: o})
}

func (v *varier) all(is func(*alloc.Part) bool) bool {
	return !slices.ContainsFunc(v.cfg.Parts, func(p alloc.Part) bool { return !is(&p) })
}

func (v *varier) byVoices() {
	have := v.before.Rig.Voices
	for n := max(1, have-furthest); n <= have+furthest; n++ {
		if o, ok := v.More(n - have); ok {
			v.vary("voices", strconv.Itoa(n), n == have, o)
		}
	}
}

func (v *varier) byRelease() {
	longest := time.Duration(0)
	for i := range v.cfg.Voices {
		longest = max(longest, v.cfg.Voices[i].Envelope.Release)
	}
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

// twoDigits rounds a time of at least 10 ms as one would set it on a knob.
func twoDigits(d time.Duration) (time.Duration, bool) {
	step := time.Second
	switch {
	case d < 10*time.Millisecond:
		return 0, false
	case d < 100*time.Millisecond:
		step = time.Millisecond
	case d < 995*time.Millisecond:
		step = 10 * time.Millisecond
	case d < 9950*time.Millisecond:
		step = 100 * time.Millisecond
	}
	return d.Round(step), true
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
	Trial
}

// Drill takes each voice in service out in turn. The one whose absence is heard
// least, then the one that costs least by [study.Score.Compare], and then the first, is
// the best to do without.
func (s *Session) Drill(ctx context.Context) ([]Absence, error) {
	var voices []int
	var tops []plan.Overrides
	for i, v := range s.plan.Rules.Config.Voices {
		if v.State.InService() {
			voices, tops = append(voices, i), append(tops, s.without(i))
		}
	}
	done, err := s.each(ctx, "drill", tops)
	var list []Absence
	for i, d := range done {
		if d != nil {
			list = append(list, Absence{voices[i], *d})
		}
	}
	return list, err
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
