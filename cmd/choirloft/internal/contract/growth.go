package contract

import (
	"choirloft/routing"
	"choirloft/routing/growth"
)

// Growth is what is left for further banks like the last one.
type Growth struct {
	Like   string   `json:"like"`
	Voices int      `json:"voices"`
	Limits []Limit  `json:"limits"` // known ones first, by banks
	First  []string `json:"first"`  // the resources that end first
	Steps  []Step   `json:"steps"`  // with which a bank more than the jacks are enough for would fit
}

// Limit is how far one resource goes.
type Limit struct {
	Resource string  `json:"resource"`
	Banks    *int    `json:"banks"` // further ones; null where the rig does not say
	AtLeast  bool    `json:"at_least"`
	Basis    *string `json:"basis"`
	Needs    *string `json:"needs"` // what the rig would have to say
}

func newGrowth(m *routing.Map) *Growth {
	g := growth.New(m)
	like := &m.Rig.Banks[g.Like]
	out := &Growth{Like: like.Name, Voices: like.Size, Limits: []Limit{}, First: []string{}, Steps: []Step{}}
	for i := range g.Limits {
		l := &g.Limits[i]
		x := Limit{Resource: l.Resource.String(), Basis: optional(l.Basis), Needs: optional(l.Needs), AtLeast: l.Banks >= growth.Most}
		if !l.Unknown {
			x.Banks = &l.Banks
		}
		out.Limits = append(out.Limits, x)
	}
	for _, l := range g.First() {
		out.First = append(out.First, l.Resource.String())
	}
	for _, s := range g.Steps {
		out.Steps = append(out.Steps, Step{s.Text, s.CVs, s.Gates, s.Either})
	}
	return out
}
