package routing

import (
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/circuit"
	"choirloft/routing/stray"
)

// rescaled is what attenuators, offsets and inverters make of a pitch on its way: gain·V + adds.
type rescaled struct {
	gain    float64 // beside the load of the jack, which is a term of its own
	adds    profiles.Volts
	modules []string // on the way, from the jack on
	assumed bool     // nobody gave a resistance that counts in it
}

// scaled plays the pitch of a net into an input, with nothing sent and with 1 V; nil where no
// such module is on the way.
func (m *Map) scaled(n *Net, in Input) *rescaled {
	s := &rescaled{}
	for _, b := range n.Branches {
		if s.modules == nil && b.Via > 0 && (slices.Contains(b.Inputs, in) || slices.Contains(b.Inputs, Input{in.Bank, -1, in.Input})) {
			s.modules = m.scaling(b.Via)
		}
	}
	if s.modules == nil {
		return nil
	}
	end, ok := m.ends[in]
	if !ok {
		end = m.ends[Input{in.Bank, -1, in.Input}] // the common jack of the bank
	}
	for _, at := range m.graph.Way(n.part, end) {
		p := m.graph.Part(at)
		s.assumed = s.assumed || at != n.part && p.Kind == circuit.Linear && p.Out > 0 && m.graph.Load(at).Assumed
	}
	m.graph.Set(n.part, 1)
	one := m.graph.Volts(end)
	m.graph.Set(n.part, 0)
	s.adds = m.graph.Volts(end)
	s.gain = float64(one-s.adds) / n.Load.Gain()
	if j := m.Rig.Kinds[m.Rig.Banks[in.Bank].Kind].Jack(in.Input); j.Sums && j.NormalVolts != nil {
		s.adds -= *j.NormalVolts // a term of its own
	}
	return s
}

// scaling are the modules of a way that make another CV of one.
func (m *Map) scaling(via int) (names []string) {
	for _, at := range m.Rig.Way(via) {
		if g := &m.Rig.Gear[at]; g.Does.Scales() {
			names = append(names, g.Name)
		}
	}
	return names
}

// mostShift is how far a term goes for a pitch in hertz per volt that ends at 0 V or below, where
// nothing is heard: ten octaves.
const mostShift = 12000

// scaledBy is what modules on the way make of the pitch; a voice that was measured has that in
// its correction.
func (v *voicing) scaledBy(key float64) Term {
	if v.scaled == nil || v.correction.Residual != nil {
		return Term{}
	}
	volts := VoltsAt(v.box, v.m.Rig.A4, key)
	wrong := volts*profiles.Volts(v.scaled.gain-1) + v.scaled.adds
	cents := -float64(mostShift)
	if !v.box.Scale.HertzPerVolt() || volts+wrong > 0 {
		cents = v.cents(volts, wrong)
	}
	basis := Given
	if v.scaled.assumed {
		basis = Assumed
	}
	return Term{Scaled, stray.Error{Law: stray.Shift, Size: cents}, basis, "gear." + v.scaled.modules[0]}
}

// correctable tells whether a correction reaches so far: its scale is 0.5 to 2, and its offset
// within 1 V.
func (s *rescaled) correctable() bool {
	return s.gain >= 0.5 && s.gain <= 2 && math.Abs(float64(s.adds)/s.gain) <= 1
}

// findScaled speaks of pitches that go through modules which make others of them.
func (m *Map) findScaled() {
	for i := range m.Nets {
		n := &m.Nets[i]
		for _, b := range n.Branches {
			m.findScaledAlong(n, b)
		}
	}
}

// findScaledAlong speaks of those voices of a branch that nobody measured, once.
func (m *Map) findScaledAlong(n *Net, b Branch) {
	var found *voicing
	var inputs []Input
	worst, at := 0.0, 0
	for voice := range m.voicings {
		v := &m.voicings[voice]
		if v.net != n || v.scaled == nil || !slices.Contains(b.Inputs, m.pitchOf(voice)) && !slices.Contains(b.Inputs, Input{m.pitchOf(voice).Bank, -1, pitchInput}) {
			continue
		}
		for _, key := range []int{v.low, v.high} {
			if cents := v.scaledBy(float64(key)).Size; math.Abs(cents) > math.Abs(worst) {
				worst, at, found = cents, key, v
			}
		}
		inputs = append(inputs, m.pitchOf(voice))
	}
	if math.Abs(worst) <= mostBend {
		return
	}
	facts := []Fact{m.named(inputs), Number("gain", found.scaled.gain, "").Assume(found.scaled.assumed), Named("modules", found.scaled.modules...),
		Number("key", at, "key"), Number("worst", worst, "cents").Main()}
	if found.scaled.adds != 0 {
		facts = append(facts, Number("adds", found.scaled.adds, "V"))
	}
	if found.scaled.correctable() {
		facts = append(facts, Named("tune", found.scaled.modules[0]))
	}
	m.find(PitchScaled, "gear."+found.scaled.modules[0], facts...)
}
