package contract

import (
	"slices"
	"strings"
)

// Revision is what changed in the wiring since another map.
type Revision struct {
	Rig      string        `json:"rig"`      // of the other map
	Replaces string        `json:"replaces"` // its plan code
	Lines    []RevisedLine `json:"lines"`    // by cable, in the order of the map, then those that are gone
}

// RevisedLine is a cable that leads elsewhere than before, or that is new or gone.
type RevisedLine struct {
	Cable string   `json:"cable"`
	Was   []string `json:"was"` // where it led, such as K1.pitch or K1.gate in studio; none if it is new
	Is    []string `json:"is"`  // none if it is gone
}

// Since notes on a map what changed in its wiring since another.
func (m *Map) Since(old *Map) {
	was, before := old.leads()
	is, order := m.leads()
	r := &Revision{Rig: old.Rig, Replaces: old.Fingerprint, Lines: []RevisedLine{}}
	for _, cable := range before {
		if is[cable] == nil {
			order = append(order, cable)
		}
	}
	for _, cable := range order {
		if !slices.Equal(was[cable], is[cable]) {
			r.Lines = append(r.Lines, RevisedLine{cable, append([]string{}, was[cable]...), append([]string{}, is[cable]...)})
		}
	}
	m.Revision = r
}

// leads are where each cable leads, and in which set-ups where not in all; and the
// cables in their order.
func (m *Map) leads() (to map[string][]string, order []string) {
	to = map[string][]string{}
	for _, c := range slices.Concat(m.Cables, m.SetUpCables) {
		if to[c.Number] == nil {
			order = append(order, c.Number)
		}
		end := c.To
		if len(c.SetUps) < len(m.SetUps) {
			end += " in " + strings.Join(c.SetUps, ", ")
			if len(c.SetUps) == 0 {
				end = c.To + " in no set-up"
			}
		}
		to[c.Number] = append(to[c.Number], end)
	}
	return to, order
}
