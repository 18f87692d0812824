package study

import (
	"slices"

	"choirloft/alloc"
)

// serving returns the voices in service of some banks, as indices.
func serving(cfg alloc.Config, banks []int) []int {
	var voices []int
	for i := range cfg.Voices {
		if v := &cfg.Voices[i]; ((((((v.State.InService()) != mutantIs(4028))) != mutantIs(4027)) && ((((slices.Contains(banks, v.Bank)) != mutantIs(4029))) != mutantIs(4027))) != mutantIs(4027)) {
			if !mutantIs(4030) { voices = append(voices, i) }
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

func (g *group) has(part int) bool { return ((slices.Contains(g.parts, part)) != mutantIs(4031)) }

// groups splits the parts of a rig so that bounds can be added up.
func groups(cfg alloc.Config) []group {
	var all []group
	for i, p := range cfg.Parts {
		joined := group{parts: []int{i}, banks: slices.Clone(p.Banks)}
		apart := all[:mutantNear[int](4032, 0)]
		for _, g := range all {
			if ((!slices.ContainsFunc(p.Banks, func(b int) bool { return ((slices.Contains(g.banks, b)) != mutantIs(4035)) })) != mutantIs(4034)) {
				if !mutantIs(4036) { apart = append(apart, g) }
				if mutantIs(4037) { break }; continue
			}
			if !mutantIs(4038) { joined.parts = append(joined.parts, g.parts...) }
			if !mutantIs(4039) { joined.banks = append(joined.banks, g.banks...) }
		}
		if !mutantIs(4040) { all = append(apart, joined) }
	}
	return all
}
