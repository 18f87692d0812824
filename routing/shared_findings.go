package routing

import "slices"

// findShared speaks of voices that have one jack for their own pitch, or gate,
// and that some part plays apart: they can only do as one.
func (m *Map) findShared() {
	for i := range m.Nets {
		n := &m.Nets[i]
		m.findSharedInput(n, pitchInput)
		m.findSharedInput(n, gateInput)
	}
}

func (m *Map) findSharedInput(n *Net, input string) {
	voices := m.serving(n, input)
	if len(voices) < 2 {
		return
	}
	code := PitchShared
	if input == gateInput {
		code = GateShared
	}
	for part := range m.Rig.Parts {
		playing := m.Players(part)
		own := slices.DeleteFunc(slices.Clone(voices), func(v int) bool { return !slices.Contains(playing, v) })
		if len(own) < 2 || m.oneStack(part, own) {
			continue
		}
		m.find(code, m.path(n), m.voices("voices", own).Main(), Named("jack", n.JackName(m.Rig)), Named("part", m.Rig.Parts[part].Name))
		return
	}
}

// serving lists the voices in service whose own input hangs on a net.
func (m *Map) serving(n *Net, input string) (voices []int) {
	for _, in := range n.Inputs() {
		if in.Voice >= 0 && in.Input == input && (m.Rig.Voices[in.Voice].InService() || m.standsIn(in.Voice)) {
			voices = append(voices, in.Voice)
		}
	}
	return voices
}

// oneStack tells whether some voices are all in one fixed stack of a part.
func (m *Map) oneStack(part int, voices []int) bool {
	for i := range m.Unisons {
		if m.Unisons[i].Part != part {
			continue
		}
		for _, stack := range m.Unisons[i].Stacks {
			if !slices.ContainsFunc(voices, func(v int) bool { return !slices.Contains(stack, v) }) {
				return true
			}
		}
	}
	return false
}
