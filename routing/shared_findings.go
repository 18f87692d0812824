package routing

import (
	"slices"

	"choirloft/profiles"
)

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
		own := m.apart(part, voices)
		if own == nil {
			continue
		}
		facts := []Fact{m.voices("voices", own).Main(), Named("jack", n.JackName(m.Rig)), Named("part", m.Rig.Parts[part].Name)}
		m.find(code, m.path(n), append(facts, m.asOne(n, input)...)...)
		return
	}
}

// apart lists those of some voices that a part plays, if it does not play them as one;
// nil without.
func (m *Map) apart(part int, voices []int) []int {
	playing := m.Players(part)
	own := slices.DeleteFunc(slices.Clone(voices), func(v int) bool { return !slices.Contains(playing, v) })
	if len(own) < 2 || m.oneStack(part, own) {
		return nil
	}
	return own
}

// asOne tries what would let the voices of a net do as one: a unison of as many, in every
// part that plays several of them. Without facts it would not.
func (m *Map) asOne(n *Net, input string) []Fact {
	voices, rig, parts := m.serving(n, input), *m.Rig, []string(nil)
	rig.Parts = slices.Clone(rig.Parts)
	for part := range rig.Parts {
		if p := &rig.Parts[part]; m.apart(part, voices) != nil {
			p.Unison.Voices, p.Unison.Short = len(voices), profiles.Blocks
			parts = append(parts, p.Name)
		}
	}
	tried := &Map{Rig: &rig, Voices: m.Voices, Nets: m.Nets, netAt: m.netAt}
	for part := range rig.Parts {
		if rig.Parts[part].Unison.Voices < 2 {
			continue
		}
		u, err := tried.unison(part)
		if err != nil {
			return nil
		}
		tried.Unisons = append(tried.Unisons, u)
	}
	for part := range rig.Parts {
		if tried.apart(part, voices) != nil {
			return nil
		}
	}
	return []Fact{Number("stack", len(voices), ""), Named("parts", parts...)}
}

// Together tells whether two voices that have a jack in common can do with it: every part
// that plays both plays them in one fixed stack of a unison.
func (m *Map) Together(a, b int) bool {
	for part := range m.Rig.Parts {
		if m.apart(part, []int{a, b}) != nil {
			return false
		}
	}
	return true
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
