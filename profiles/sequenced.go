package profiles

import (
	"maps"
	"slices"
	"strings"
)

// WithSequencer returns the rig with one of its sequencers among the
// interfaces, as the last, with a CV and a gate for each part: what the
// sequencer drives can then be looked at as what an interface drives. The rig
// itself stays as it is.
func (r *Rig) WithSequencer(at int) *Rig {
	s := &r.Sequencers[at]
	with := *r
	with.Interfaces = append(slices.Clone(r.Interfaces), Interface{
		Name: s.Name, Profile: s.Profile, Pos: s.Pos, CV: s.Parts, Gates: s.Parts, Connector: max(1, s.Parts),
		Window: s.Window, ZeroKey: s.ZeroKey, Scale: s.Scale, Bits: 16, OutputResistance: s.OutputResistance,
		Gate: s.Gate, Trigger: s.Trigger, Link: Audio,
	})
	with.given = maps.Clone(r.given)
	for path, pos := range r.given {
		if rest, ok := strings.CutPrefix(path, "sequencers."+s.Name); ok && (rest == "" || rest[0] == '.') {
			with.given["interfaces."+s.Name+rest] = pos
		}
	}
	return &with
}
