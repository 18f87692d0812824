package setups

import (
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/routing"
)

// electrical are the findings that depend on what a set-up patches. The others
// are those of the map, or are what the patch itself is about.
var electrical = []routing.Code{routing.PitchBent, routing.BuffersStray, routing.GateTooLow, routing.GateMargin,
	routing.GatePolarity, routing.TriggerTooShort}

// Findings says what is doubtful about a set-up and not about the map already.
func (p *Patch) Findings() (found []routing.Finding) {
	for _, f := range p.Map.Findings {
		known := slices.ContainsFunc(p.base.Findings, func(g routing.Finding) bool { return g.Code == f.Code && g.Text == f.Text })
		if slices.Contains(electrical, f.Code) && !known {
			found = append(found, p.relocated(f))
		}
	}
	return found
}

// relocated is a finding with its place in the rig that is written.
func (p *Patch) relocated(f routing.Finding) routing.Finding {
	s := &p.base.Rig.SetUps[p.SetUp]
	for i, w := range p.wires {
		if f.Where != wirePath(i) {
			continue
		}
		f.Where, f.Pos = w.where, w.pos
		if w.own && f.Code == routing.PitchBent {
			f = f.With(routing.Named("set_up", s.Name))
		}
		return f
	}
	if s.Sequenced {
		name := p.base.Rig.Sequencers[s.From].Name
		if rest, ok := strings.CutPrefix(f.Where, "interfaces."+name+"."); ok {
			f.Where = "sequencers." + name + "." + rest
		}
	}
	return f
}

// Findings says what is doubtful about the set-ups of a rig and not about its
// map already.
func Findings(m *routing.Map) (found []routing.Finding) {
	for i := range m.Rig.SetUps {
		s, p := &m.Rig.SetUps[i], New(m, i)
		if s.Sequenced {
			found = append(found, p.Findings()...)
		}
		// a sequencer leaves in what the interfaces have plugged: its parts alone count
		if s.Sequenced && len(s.Parts) == 0 || !slices.ContainsFunc(m.Voices, func(v routing.Voice) bool { return p.Plays(v.Voice) }) {
			f := routing.New(routing.SetUpEmpty, "set_ups."+s.Name, routing.Named("set_up", s.Name))
			f.Pos = s.Pos
			found = append(found, f)
		}
	}
	return found
}

// Find returns the set-up of that name; ok is false if there is none.
func Find(rig *profiles.Rig, name string) (setUp int, ok bool) {
	at := slices.IndexFunc(rig.SetUps, func(s profiles.SetUp) bool { return s.Name == name })
	return at, at >= 0
}
