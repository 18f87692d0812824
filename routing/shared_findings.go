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
	m.findDeaf()
}

// deaf is a voice with a lane on the jack of one that is out of service.
type deaf struct {
	voice, other int
	lane         *Lane
}

// deaf lists the voices with a channel for the pitch and another for the gate, of which
// one is that of a voice that is out of service: nobody plays it.
func (m *Map) deaf() (all []deaf) {
	type channelKey [3]int
	channel := func(l *Lane) channelKey { return channelKey{l.Interface, int(l.Port), int(l.Channel)} }
	if !slices.ContainsFunc(m.Voices, func(v Voice) bool {
		pitch, gate := v.Lane(pitchInput), v.Lane(gateInput)
		return pitch != nil && gate != nil && channel(pitch) != channel(gate)
	}) {
		return nil
	}
	played := map[channelKey]bool{} // of voices in service so far
	for i := range m.Voices {
		pitch, gate := m.Voices[i].Lane(pitchInput), m.Voices[i].Lane(gateInput)
		if !m.Rig.Voices[i].InService() && !m.standsIn(i) || pitch == nil || gate == nil || !pitch.Addressed || !gate.Addressed {
			continue
		}
		if gate.Interface == pitch.Interface && channel(gate) != channel(pitch) && !played[channel(gate)] && !played[channel(pitch)] {
			for _, l := range []*Lane{pitch, gate} {
				if other := m.ownerOf(l); other != i && !m.Rig.Voices[other].InService() && !m.standsIn(other) {
					all = append(all, deaf{i, other, l})
				}
			}
		}
		played[channel(pitch)] = true
	}
	return all
}

// findDeaf speaks of them.
func (m *Map) findDeaf() {
	for _, d := range m.deaf() {
		m.find(JackOfVoiceOut, m.path(m.NetOf(d.lane)), m.voices("voice", []int{d.voice}).Main(), Named("input", d.lane.Input),
			Named("jack", m.jack(d.lane)), m.voices("other", []int{d.other}))
	}
}

// ownerOf is the first voice with a lane on the jack of a lane of one.
func (m *Map) ownerOf(l *Lane) int {
	for i := range m.Voices {
		for j := range m.Voices[i].Lanes {
			if other := &m.Voices[i].Lanes[j]; other.Fits() && other.sameJack(&l.Outlet, m.Rig) {
				return i
			}
		}
	}
	panic("bug: a lane of no voice")
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
	voices, parts := m.serving(n, input), []string(nil)
	stack := func(rig *profiles.Rig) {
		parts = nil
		for part := range rig.Parts {
			if p := &rig.Parts[part]; m.apart(part, voices) != nil {
				p.Unison.Voices, p.Unison.Short = len(voices), profiles.Blocks
				parts = append(parts, p.Name)
			}
		}
	}
	tried, ok := m.triedParts(stack)
	if !ok || !m.wouldPlay(stack) {
		return nil
	}
	for part := range tried.Rig.Parts {
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
