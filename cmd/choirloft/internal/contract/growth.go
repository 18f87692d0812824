package contract

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/profiles/unit"
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

// Lines say what ends first, what then, what is not known, and which steps down
// would make room for one bank more.
func (g *Growth) Lines() (lines []string) {
	var known, unknown []string
	for i := range g.Limits {
		l := &g.Limits[i]
		if l.Banks == nil {
			unknown = append(unknown, l.Resource+" (wants "+*l.Needs+")")
			continue
		}
		known = append(known, fmt.Sprintf("%s %s (%s)", l.Resource, l.count(), *l.Basis))
	}
	if len(known) > 0 {
		lines = append(lines, fmt.Sprintf("Room for further banks like %s, of %s: %s.", g.Like, unit.Count(g.Voices, "voice"), strings.Join(known, "; ")))
	}
	if len(unknown) > 0 {
		lines = append(lines, "Not known: "+unit.List(unknown)+".")
	}
	if len(g.Steps) > 0 {
		words := make([]string, len(g.Steps))
		for i, s := range g.Steps {
			words[i] = s.Text
		}
		lines = append(lines, "Jacks for one bank more, each tried: "+strings.Join(words, "; ")+".")
	}
	return lines
}

func (l *Limit) count() string {
	switch {
	case l.AtLeast:
		return "for " + strconv.Itoa(*l.Banks) + " or more"
	case *l.Banks == 0:
		return "for none"
	}
	return "for " + strconv.Itoa(*l.Banks)
}
