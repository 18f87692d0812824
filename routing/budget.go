package routing

import (
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/circuit"
	"choirloft/routing/detune"
)

// Stray is what one cause does to the pitch of a voice, either way: 0 or more.
type Stray struct {
	Worst   detune.Cents // as far as it is taken to go, at the worst key
	Sigma   detune.Cents // its standard deviation
	Assumed bool         // it rests on a number that nobody measured
}

// Budget is how far the pitch of a voice may stray from what is asked, by
// cause, at the key of its window where that is furthest.
//
// A cause that is known, such as a load, counts in full. One within limits,
// such as the rounding of the converter, goes as far as the limit and has the
// deviation of limits between which all is alike: limit/√3. One known by its
// deviation, such as drift, is taken to go to twice that.
type Budget struct {
	Step        Stray // half a step of the converter
	Loading     Stray // of all that hangs on the output, against calibration
	Buffers     Stray // gain and zero of the multiples on the way
	Calibration Stray // what a correction leaves; until then it is part of drift
	Drift       Stray
}

// strays lists the causes.
func (b *Budget) strays() [5]Stray {
	return [...]Stray{b.Step, b.Loading, b.Buffers, b.Calibration, b.Drift}
}

// Worst is the sum of all at their worst.
func (b *Budget) Worst() (sum detune.Cents) {
	for _, s := range b.strays() {
		sum += s.Worst
	}
	return sum
}

// RMS is the root of the sum of the squares of the deviations.
func (b *Budget) RMS() detune.Cents {
	sum := 0.0
	for _, s := range b.strays() {
		sum += float64(s.Sigma * s.Sigma)
	}
	return detune.Cents(math.Sqrt(sum))
}

// Assumed tells whether anything in it was not measured.
func (b *Budget) Assumed() bool {
	strays := b.strays()
	return slices.ContainsFunc(strays[:], func(s Stray) bool { return s.Assumed && s.Worst > 0 })
}

// known is a stray of so many cents, whatever its sign.
func known(cents float64, assumed bool) Stray {
	c := detune.Cents(math.Abs(cents))
	return Stray{c, c, assumed}
}

// within is a stray up to a limit.
func within(limit float64, assumed bool) Stray {
	return Stray{detune.Cents(limit), detune.Cents(limit / math.Sqrt(3)), assumed}
}

// spread is a stray of a deviation.
func spread(sigma profiles.Cents, assumed bool) Stray {
	return Stray{2 * detune.Cents(sigma), detune.Cents(sigma), assumed}
}

// budgets works out those of all voices with a pitch jack.
func (m *Map) budgets() {
	for i, c := range Corrections(m.Rig) {
		m.Voices[i].Budget = m.budget(&m.Voices[i], &c)
	}
}

// budget is that of a voice, nil without a pitch jack or without a key in reach.
func (m *Map) budget(v *Voice, c *profiles.Correction) *Budget {
	net := m.NetOf(v.Lane(pitchInput))
	if net == nil || len(v.Keys) == 0 {
		return nil
	}
	f := &m.Rig.Interfaces[net.Interface]
	b := m.unplugged(c)
	b.Step = within(StepCents(f, m.Rig.A4, float64(v.Keys[0].Key))/2, false)
	b.Loading = known(m.Bend(net)*m.octaves(f, v.Keys), net.Assumed)
	buffers := m.strayOfBuffers(f, v, net)
	b.Buffers = within(buffers, buffers > 0)
	return b
}

// unplugged is what the voice of a correction does of itself. As long as nobody measured, the drift
// of its kind stands for all of it. A correction tells what is left with it, and
// perhaps the voice's own drift; a drift that was only assumed then no longer
// counts, while one that the rig gives does.
func (m *Map) unplugged(c *profiles.Correction) *Budget {
	kind := &m.Rig.Kinds[m.Rig.Banks[m.Rig.Voices[c.Voice].Bank].Kind]
	_, given := m.Rig.Given("voices." + kind.Name + ".drift")
	b := &Budget{Drift: spread(kind.Drift, !given)}
	if c.Residual != nil {
		b.Calibration = spread(*c.Residual, false)
	}
	switch {
	case c.Drift != nil:
		b.Drift = spread(*c.Drift, false)
	case c.Residual != nil && !given:
		b.Drift = Stray{}
	}
	return b
}

// octaves is how far from 0 V the keys lead, in octaves; 1 with hertz per volt,
// where a load moves all keys alike.
func (m *Map) octaves(f *profiles.Interface, keys []KeyVolts) float64 {
	if f.Scale.HertzPerVolt() || len(keys) == 0 {
		return 1
	}
	far := max(math.Abs(float64(keys[0].Volts)), math.Abs(float64(keys[len(keys)-1].Volts)))
	return far / float64(f.Scale.PerOctave)
}

// strayOfBuffers is how far the multiples between jack and voice may move its
// pitch.
func (m *Map) strayOfBuffers(f *profiles.Interface, v *Voice, net *Net) float64 {
	b := circuit.AssumedBuffers(net.depth(v.Voice))
	if f.Scale.HertzPerVolt() {
		return b.Shift(v.Keys[0].Volts)
	}
	return b.Bend(m.octaves(f, v.Keys), f.Scale.PerOctave)
}

// depth is how many amplifiers stand before the pitch input of a voice.
func (n *Net) depth(voice int) int {
	for _, b := range n.Branches {
		if slices.ContainsFunc(b.Inputs, func(i Input) bool { return i.Voice == voice && i.Input == pitchInput }) {
			return b.Depth
		}
	}
	return 0
}

// scatter is what the budget says of how far the voice strays from another one
// beside it: a load bends both alike, and is left out. The step of the converter
// is that of the key which is asked about.
func (b *Budget) scatter(step detune.Cents) detune.Scatter {
	return detune.Scatter{Calibration: b.Calibration.Sigma, Drift: b.Drift.Sigma, LSB: detune.RoundingScatter(step), Path: b.Buffers.Sigma}
}
