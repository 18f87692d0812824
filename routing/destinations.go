package routing

import (
	"slices"

	"choirloft/profiles"
)

// Destination is some voices in service that have their pitch from one jack. To every part
// they are one voice: they play one note at a time, and nothing detunes one of them against
// another.
type Destination struct {
	Voices []int // at least two, ascending
	InTurn bool  // each note opens the gate of the next one alone, else of all
}

// Destinations lists them. Voices of banks that different parts play are not one: for these
// a jack in common is a mistake, see [PitchShared].
func (m *Map) Destinations() (all []Destination) {
	for i := range m.Nets {
		left := m.onPitch(&m.Nets[i])
		for len(left) > 1 {
			d := Destination{InTurn: m.Rig.Banks[m.Rig.Voices[left[0]].Bank].Gates == profiles.InTurn}
			first := left[0]
			left = slices.DeleteFunc(left, func(v int) bool {
				if same := m.sameParts(first, v); same {
					d.Voices = append(d.Voices, v)
					return true
				}
				return false
			})
			if len(d.Voices) > 1 {
				all = append(all, d)
			}
		}
	}
	return all
}

// onPitch lists the voices in service whose pitch comes out of the jack of a net.
func (m *Map) onPitch(n *Net) (voices []int) {
	for _, in := range n.Inputs() {
		if in.Voice < 0 || in.Input != pitchInput || slices.Contains(voices, in.Voice) || !m.serves(in.Voice) {
			continue
		}
		if l := m.Voices[in.Voice].Lane(pitchInput); l != nil && l.sameJack(&n.Outlet, m.Rig) {
			voices = append(voices, in.Voice)
		}
	}
	slices.Sort(voices)
	return voices
}

// OneGate lists the voices in service that have their gate from the jack of a net, where they are
// several and the rig wants it so: their notes have one envelope.
func (m *Map) OneGate(n *Net) []int {
	if voices := m.serving(n, gateInput); len(voices) > 1 && m.oneEnvelope(n, voices) {
		return voices
	}
	return nil
}

// serves tells whether a voice plays, for itself or in place of another.
func (m *Map) serves(voice int) bool { return m.Rig.Voices[voice].InService() || m.standsIn(voice) }

// sameParts tells whether the same parts play two voices.
func (m *Map) sameParts(a, b int) bool {
	x, y := m.Rig.Voices[a].Bank, m.Rig.Voices[b].Bank
	return x == y || !slices.ContainsFunc(m.Rig.Parts, func(p profiles.Part) bool {
		return slices.Contains(p.Banks, x) != slices.Contains(p.Banks, y)
	})
}
