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
	m.findInTurn()
	m.findDeaf()
}

// findInTurn speaks of voices on one pitch jack whose gates cannot open in turn.
func (m *Map) findInTurn() {
	for _, d := range m.Destinations() {
		l := m.Voices[d.Voices[0]].Lane(pitchInput)
		if d.InTurn && m.Rig.Interfaces[l.Interface].Link != profiles.Audio {
			bank := m.Rig.Banks[m.Rig.Voices[d.Voices[0]].Bank].Name
			m.find(GatesInTurn, "banks."+bank+".gates", m.voices("voices", d.Voices).Main(), Named("jack", m.jack(l)), Named("bank", bank))
		}
	}
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
		if !m.serves(i) || pitch == nil || gate == nil || !pitch.Addressed || !gate.Addressed {
			continue
		}
		if gate.Interface == pitch.Interface && channel(gate) != channel(pitch) && !played[channel(gate)] && !played[channel(pitch)] {
			for _, l := range []*Lane{pitch, gate} {
				if other := m.ownerOf(l); other != i && !m.serves(other) {
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

// findSharedInput speaks of the voices of a net that cannot do with one jack. With one for their
// pitch they are one voice: so a part that plays several notes is short of voices, and parts with
// other voices on it move each other's pitch.
func (m *Map) findSharedInput(n *Net, input string) {
	voices, code := m.serving(n, input), GateShared
	if input == pitchInput {
		voices, code = m.onPitch(n), PitchShared
	}
	if len(voices) < 2 || input == gateInput && m.oneEnvelope(n, voices) {
		return
	}
	if part, other, ok := m.strangers(voices); ok {
		m.find(code, m.path(n), m.voices("voices", voices).Main(), Named("jack", n.JackName(m.Rig)), Named("part", m.Rig.Parts[part].Name),
			Named("other", m.Rig.Parts[other].Name))
		return
	}
	for part := range m.Rig.Parts {
		own := m.atOdds(part, voices, input)
		if own == nil {
			continue
		}
		facts := []Fact{m.voices("voices", own).Main(), Named("jack", n.JackName(m.Rig)), Named("part", m.Rig.Parts[part].Name)}
		if input == gateInput && m.sayOneGate(own) {
			facts = append(facts, Named("cvs", m.Rig.Interfaces[n.Interface].Name))
		}
		m.find(code, m.path(n), append(facts, m.asOne(voices, input)...)...)
		return
	}
}

// atOdds lists those of some voices that a part plays, if it cannot do with one jack for that
// input of theirs; nil if it can. With one pitch it can as one stack, or with one note at a time.
func (m *Map) atOdds(part int, voices []int, input string) []int {
	p := &m.Rig.Parts[part]
	if input == pitchInput && (p.Mode != profiles.Poly || p.Limit == 1) && p.Unison.Voices < 2 {
		return nil
	}
	return m.apart(part, voices)
}

// oneEnvelope tells whether the rig says that voices share a gate, of an interface that moves
// pitch and gate apart, as CVs do.
func (m *Map) oneEnvelope(n *Net, voices []int) bool {
	return m.Rig.Interfaces[n.Interface].Link == profiles.Audio && m.sayOneGate(voices)
}

// sayOneGate tells whether the rig says that voices share a gate.
func (m *Map) sayOneGate(voices []int) bool {
	return !slices.ContainsFunc(voices, func(v int) bool {
		return m.Rig.Banks[m.Rig.Voices[v].Bank].Shared != profiles.SharedGate
	})
}

// strangers are two parts that play some of the voices, each of them other ones.
func (m *Map) strangers(voices []int) (part, other int, ok bool) {
	for part := range m.Rig.Parts {
		for other := range m.Rig.Parts[:part] {
			plays := func(part int) (own []int) {
				playing := m.Players(part)
				return slices.DeleteFunc(slices.Clone(voices), func(v int) bool { return !slices.Contains(playing, v) })
			}
			if a, b := plays(other), plays(part); len(a) > 0 && len(b) > 0 && !slices.Equal(a, b) {
				return other, part, true
			}
		}
	}
	return 0, 0, false
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

// asOne tries what would let some voices do with one jack: a unison of as many, in every part
// that plays several of them; with one pitch jack also that these parts be mono. Without facts
// it would not.
func (m *Map) asOne(voices []int, input string) (facts []Fact) {
	var parts []string
	each := func(set func(*profiles.Part)) func(*profiles.Rig) {
		return func(rig *profiles.Rig) {
			parts = nil
			for part := range rig.Parts {
				if m.atOdds(part, voices, input) != nil {
					set(&rig.Parts[part])
					parts = append(parts, rig.Parts[part].Name)
				}
			}
		}
	}
	stack := each(func(p *profiles.Part) { p.Unison.Voices, p.Unison.Short = len(voices), profiles.Blocks })
	tried, ok := m.triedParts(stack)
	for part := range m.Rig.Parts {
		ok = ok && tried.atOdds(part, voices, input) == nil
	}
	if ok && m.wouldPlay(stack) {
		facts = append(facts, Number("stack", len(voices), ""))
	}
	if input == pitchInput && m.wouldPlay(each(func(p *profiles.Part) { p.Mode, p.Unison.Voices = profiles.MonoLast, 1 })) {
		facts = append(facts, Named("mono", profiles.MonoLast.String()))
	}
	if facts == nil {
		return nil
	}
	return append(facts, Named("parts", parts...))
}

// Together tells whether two voices that have a gate jack in common can do with it: the same
// parts play both, in one fixed stack of a unison.
func (m *Map) Together(a, b int) bool {
	for part := range m.Rig.Parts {
		if m.apart(part, []int{a, b}) != nil {
			return false
		}
	}
	return m.sameParts(a, b)
}

// serving lists the voices in service whose own input hangs on a net.
func (m *Map) serving(n *Net, input string) (voices []int) {
	for _, in := range n.Inputs() {
		if in.Voice >= 0 && in.Input == input && m.serves(in.Voice) {
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
