package setups

import (
	"slices"

	"choirloft/routing"
)

// leave keeps in a sequencer's patch what of the map leads nowhere any more and
// may stay plugged all the same: into modules, and into multiples all of whose
// outputs are pulled. A multiple that serves better elsewhere does not stay.
func (p *Patch) leave(m *routing.Map, ored []bool) {
	base := &Patch{SetUp: p.SetUp, Map: m, base: m, nets: m.Nets}
	l := layer{patch: base, rig: m.Rig, ored: ored, laid: map[Cable]bool{}}
	l.lay()
	gear := map[string]bool{}
	for _, g := range m.Rig.Gear {
		gear[g.Name] = true
	}
	for _, c := range base.cables {
		if gear[c.To.Panel] && !slices.Contains(p.cables, c) {
			p.cables = append(p.cables, c)
		}
	}
	p.stubs(base)
}

// stubs adds the multiples of the map of which only the feed is left.
func (p *Patch) stubs(base *Patch) {
	own := len(p.multiples)
	for i := range base.multiples {
		b := &base.multiples[i]
		if !slices.ContainsFunc(p.multiples, func(m multiple) bool { return m.feed == b.feed }) {
			p.multiples = append(p.multiples, multiple{through: b.through, outs: b.outs, units: b.units, feed: b.feed})
		}
	}
	stays := make([]bool, len(p.multiples))
	for i, j := range assign(weights(base.multiples, p.multiples), len(p.multiples)) {
		if j >= 0 {
			stays[j] = stays[j] || common(&base.multiples[i], &p.multiples[j]) > 0
		}
	}
	kept := p.multiples[:own:own]
	for j := own; j < len(p.multiples); j++ {
		if stays[j] {
			kept = append(kept, p.multiples[j])
		}
	}
	p.multiples = kept
}
