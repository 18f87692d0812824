package plan

import (
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/routing"
)

// Triggers: where the gates of all voices that a part may have end by a trigger before them,
// its notes do. Of several lengths the longest counts. Where some of them have none, or notes
// wait for voices and begin when these are free, no one length holds for a note.

// pulse gives the parts of which that is so their length.
func (p *Plan) pulse() {
	for i := range p.Rules.Config.Parts {
		part := &p.Rules.Config.Parts[i]
		with, without, longest := p.triggered(part)
		if part.Pulse = 0; len(with) > 0 && without == 0 && part.WaitsFor() == 0 {
			part.Pulse = longest
		}
	}
}

// triggered are the voices in service of a part whose gates are triggers, and how many
// others there are.
func (p *Plan) triggered(part *alloc.Part) (with []string, without int, longest time.Duration) {
	for i, v := range p.Rules.Config.Voices {
		if !v.State.InService() || !slices.Contains(part.Banks, v.Bank) {
			continue
		}
		if pulse := p.Map.Pulse(i); pulse > 0 {
			with, longest = append(with, p.Rig.Voices[i].Name), max(longest, pulse)
		} else {
			without++
		}
	}
	return with, without, longest
}

// notReckoned reports a part whose notes end sooner than is reckoned on some voices.
func (p *Plan) notReckoned(i int) []routing.Finding {
	part := &p.Rules.Config.Parts[i]
	with, without, _ := p.triggered(part)
	if len(with) == 0 || part.Pulse > 0 {
		return nil
	}
	facts := []routing.Fact{routing.Named("part", part.Name), routing.Named("voices", with...)}
	if without == 0 {
		facts = append(facts, routing.Named("waits", part.Name))
	}
	f := routing.New(routing.TriggerNotReckoned, "parts."+part.Name, facts...)
	f.Pos = p.Rig.Parts[i].Pos
	return []routing.Finding{f}
}
