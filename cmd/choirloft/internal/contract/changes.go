package contract

import "choirloft/routing/plan"

// mostSetUps is up to how many set-ups a sheet has the ways between any two of
// them; with more it has those from and to the first.
const mostSetUps = 3

// changesOf returns the ways between the set-ups of a rig that belong on its
// sheet.
func changesOf(p *plan.Plan) (all []*Repatch) {
	n := len(p.Rig.SetUps)
	for from := range n {
		for to := range n {
			if from != to && (n <= mostSetUps || from == 0 || to == 0) {
				all = append(all, NewRepatch(p, from, to))
			}
		}
	}
	return all
}

// Changes are the ways between the set-ups of the rig, for its sheet. They are
// worked out here, as nothing but paper asks for them.
func (m *Map) Changes() []*Repatch { return m.changes() }
