package study

import (
	"slices"

	"choirloft/alloc"
)

// serving returns the voices in service of some banks, as indices.
func serving(cfg alloc.Config, banks []int) []int {
	var voices []int
	for i := range cfg.Voices {
		if v := &cfg.Voices[i]; v.State.InService() && slices.Contains(banks, v.Bank) {
			voices = append(voices, i)
		}
	}
	return voices
}

// group is a set of parts that share banks, one with another, and nothing with
// anyone else.
type group struct {
	parts []int
	banks []int
}

func (g *group) has(part int) bool { return slices.Contains(g.parts, part) }

// groups splits the parts of a rig so that bounds can be added up.
func groups(cfg alloc.Config) []group {
	var all []group
	for i, p := range cfg.Parts {
		joined := group{parts: []int{i}, banks: slices.Clone(p.Banks)}
		apart := all[:0]
		for _, g := range all {
			if !slices.ContainsFunc(p.Banks, func(b int) bool { return slices.Contains(g.banks, b) }) {
				apart = append(apart, g)
				continue
			}
			joined.parts = append(joined.parts, g.parts...)
			joined.banks = append(joined.banks, g.banks...)
		}
		all = append(apart, joined)
	}
	return all
}
