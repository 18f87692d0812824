package routing

import (
	"math"
	"slices"
	"time"

	"choirloft/profiles"
	"choirloft/routing/circuit"
	"choirloft/routing/detune"
	"choirloft/routing/stray"
)

// What is assumed where a rig says nothing: common practice, from memory.
const (
	trimmedGain, untrimmedGain     = 0.001, 0.005                                 // of an interface, either way
	trimmedOffset, untrimmedOffset = profiles.Volts(0.002), profiles.Volts(0.010) // either way
	bowSteps, fineBowSteps         = 1.0, 4.0                                     // steps that a CV leaves a straight line by; with fineBits
	fineBits                       = 16
	coldDrift                      = profiles.Cents(10) // of a rack that is not warm
	priorChanges                   = 4                  // what is assumed of drift counts as so many changes that were measured
	assumedReadings                = 5                  // behind a correction that does not say
	roomKelvin                     = 298.15
)

// ReadingSigma is how far a reading of a pitch is off by itself, a standard deviation in cents
// (assumed): what a correction leaves is never taken for less.
const ReadingSigma = profiles.Cents(0.1)

// terms are all at a key, without those that do nothing there.
func (v *voicing) terms(key float64) []Term {
	const most = 16 // with one multiple on the way
	terms := append(make([]Term, 0, most), v.drift()...)
	if v.box != nil {
		terms = append(terms, v.rounding(key), v.settling(), v.clamping(key), v.loading(key), v.normal(key), v.scaledBy(key))
		terms = append(terms, v.multiples(key)...)
		terms = append(terms, v.added(key)...)
		if v.correction.Residual == nil {
			volts := VoltsAt(v.box, v.m.Rig.A4, key)
			terms = append(terms, v.converter(v.box, volts, volts)...)
		} else {
			terms = append(terms, v.remains(key))
		}
		terms = append(terms, v.tracking(key))
	}
	terms = append(terms, v.temperature(key))
	terms = slices.DeleteFunc(terms, func(t Term) bool { return t.Size == 0 })
	slices.SortStableFunc(terms, func(a, b Term) int { return int(a.Cause) - int(b.Cause) })
	return terms
}

// basis is that of a value which the rig gives, or does not.
func (v *voicing) basis(path string) Basis {
	if _, given := v.m.Rig.Given(path); given {
		return Given
	}
	return Assumed
}

func (v *voicing) of(c Cause, law stray.Law, cents float64, path string) Term {
	return Term{c, stray.Error{Law: law, Size: cents}, v.basis(path), path}
}

// boxPath and kindPath are keys of the rig.
func (v *voicing) boxPath(key string) string  { return "interfaces." + v.box.Name + "." + key }
func (v *voicing) kindPath(key string) string { return "voices." + v.kind.Name + "." + key }

func (v *voicing) path() string { return "corrections." + v.m.Rig.Voices[v.voice].Name }

// rounding is half a step, either way.
func (v *voicing) rounding(key float64) Term {
	return v.of(Rounding, stray.Limit, v.step(v.box, VoltsAt(v.box, v.m.Rig.A4, key))/2, v.boxPath("bits"))
}

// cents is what an error of so many volts does at some volts.
func (v *voicing) cents(volts, wrong profiles.Volts) float64 {
	if v.box.Scale.HertzPerVolt() {
		return 1200 * math.Log2(1+float64(wrong/volts))
	}
	return 1200 * float64(wrong/v.box.Scale.PerOctave)
}

// unknown are what only measuring can tell: the gain and the zero of audio interfaces.
func (v *voicing) unknown() (terms []Term) {
	if v.box == nil || v.correction.Residual != nil {
		return nil
	}
	if v.box.Link == profiles.Audio && v.box.GainError == nil {
		terms = append(terms, v.of(Gain, stray.Limit, 0, v.boxPath("gain_error")))
	}
	for _, n := range append([]*Net{v.net}, v.m.adding(v.voice)...) {
		if f := &v.m.Rig.Interfaces[n.Interface]; f.Link == profiles.Audio && f.OffsetError == nil {
			terms = append(terms, v.of(Zero, stray.Limit, 0, "interfaces."+f.Name+".offset_error"))
		}
	}
	return terms
}

// converter are the gain, the zero and the non-linearity of an interface that sends some
// of the volts of a pitch.
func (v *voicing) converter(f *profiles.Interface, pitch, sent profiles.Volts) []Term {
	gain, offset, bow := trimmedGain, trimmedOffset, bowSteps
	if !f.Trimmed {
		gain, offset = untrimmedGain, untrimmedOffset
	}
	if f.Bits >= fineBits {
		bow = fineBowSteps
	}
	if f.Link == profiles.Audio { // nothing can be assumed
		gain, offset = 0, 0
	}
	if f.GainError != nil {
		gain = float64(*f.GainError)
	}
	if f.OffsetError != nil {
		offset = *f.OffsetError
	}
	if f.Nonlinearity != nil {
		bow = *f.Nonlinearity
	}
	path := "interfaces." + f.Name + "."
	return []Term{
		v.of(Gain, stray.Limit, math.Abs(v.cents(pitch, profiles.Volts(gain)*sent)), path+"gain_error"),
		v.of(Zero, stray.Limit, v.cents(pitch, offset), path+"offset_error"),
		v.of(Bow, stray.Limit, bow*v.step(f, pitch), path+"nonlinearity"),
	}
}

// step is what a step of the converter of an interface does to a pitch of some volts.
func (v *voicing) step(f *profiles.Interface, volts profiles.Volts) float64 {
	return v.cents(volts, (f.Window.High-f.Window.Low)/profiles.Volts(math.Exp2(float64(f.Bits))))
}

// added are the steps and the errors of further outputs that an adder brings to the pitch,
// such as a bend from another interface: each is taken to rest at 0 V.
func (v *voicing) added(key float64) (terms []Term) {
	volts := VoltsAt(v.box, v.m.Rig.A4, key)
	for _, n := range v.m.adding(v.voice) {
		f := &v.m.Rig.Interfaces[n.Interface]
		terms = append(terms, v.of(Rounding, stray.Limit, v.step(f, volts)/2, "interfaces."+f.Name+".bits"))
		if v.correction.Residual == nil {
			terms = append(terms, v.converter(f, volts, 0)...)
		}
	}
	return terms
}

// adding are the nets beside its own that lead to the pitch of a voice through an adder.
func (m *Map) adding(voice int) (nets []*Net) {
	if !slices.ContainsFunc(m.Rig.Gear, func(g profiles.Gear) bool { return g.Does == profiles.DoesAdd }) {
		return nil
	}
	own, in := m.NetOf(m.Voices[voice].Lane(pitchInput)), m.pitchOf(voice)
	for i := range m.Nets {
		if n := &m.Nets[i]; n != own && slices.ContainsFunc(n.Branches, func(b Branch) bool { return b.Via > 0 && slices.Contains(b.Inputs, in) }) {
			nets = append(nets, n)
		}
	}
	return nets
}

// settling is what is left, when the gate opens, of the way to a new CV from the
// other end of the keys. The lead is ours only in files of CVs.
func (v *voicing) settling() Term {
	if v.box.Link != profiles.Audio || v.box.Settling == 0 && v.box.Update == 0 {
		return Term{}
	}
	left := 1.0
	if wait := v.m.Rig.Timing.Lead - v.box.Update; wait >= 0 {
		left = 0
		if v.box.Settling > 0 {
			left = math.Exp(-float64(wait) / float64(v.box.Settling))
		}
	}
	return v.of(Settling, stray.Limit, 100*float64(v.high-v.low)*left, v.boxPath("settling"))
}

// Settled is how long after a new CV is sent the pitch is within 3 cents of it, from
// one end of the keys of a voice to the other: τ·ln(cents/3) and the update. It is
// 0 where nobody says.
func (m *Map) Settled(voice int) time.Duration {
	v := &m.voicings[voice]
	if v.box == nil {
		return 0
	}
	jump := max(1, 100*float64(v.high-v.low)/mostBend)
	return v.box.Update + time.Duration(math.Log(jump)*float64(v.box.Settling))
}

// clamping is by how much a CV is off that ends with the CV range.
func (v *voicing) clamping(key float64) Term {
	_, missed := v.m.clamped(v.box, v.correction, VoltsAt(v.box, v.m.Rig.A4, key))
	if math.Abs(missed) < 1e-6 || math.IsInf(missed, 0) || math.IsNaN(missed) {
		return Term{}
	}
	return Term{Clamping, stray.Error{Law: stray.Shift, Size: missed}, Given, v.boxPath("window")}
}

// loading is what the load does, against that at calibration; against that when the
// voice was measured, if it was.
func (v *voicing) loading(key float64) Term {
	then := v.net.Calibrated
	if v.correction.Residual != nil {
		then = len(v.net.Load.Inputs)
		if v.correction.Inputs > 0 {
			then = v.correction.Inputs
		}
	}
	bend := v.m.bendSince(v.net, then)
	if !v.box.Scale.HertzPerVolt() {
		bend *= float64(VoltsAt(v.box, v.m.Rig.A4, key) / v.box.Scale.PerOctave)
	}
	basis := Given
	if v.net.Load.Assumed {
		basis = Assumed
	}
	return Term{Loading, stray.Error{Law: stray.Shift, Size: bend}, basis, v.boxPath("output_resistance")}
}

// normal is what the normal of a pitch input adds to its plug; a voice that was measured has
// that in its correction.
func (v *voicing) normal(key float64) Term {
	j := v.kind.Jack(pitchInput)
	if v.correction.Residual != nil || !j.Sums || j.NormalVolts == nil {
		return Term{}
	}
	cents := v.cents(VoltsAt(v.box, v.m.Rig.A4, key), *j.NormalVolts)
	return Term{Added, stray.Error{Law: stray.Shift, Size: cents}, Given, v.kindPath("jacks.pitch.normal")}
}

// multiples are the amplifiers on the way; once the voice was measured only those by
// which the way is another.
func (v *voicing) multiples(key float64) (terms []Term) {
	way, volts := v.m.amplifiers(v.net, v.m.pitchOf(v.voice)), VoltsAt(v.box, v.m.Rig.A4, key)
	if v.correction.Residual != nil {
		then := len(way)
		if v.correction.Multiples != nil {
			then = *v.correction.Multiples
		}
		way = slices.Repeat([]circuit.Part{circuit.Buffer(0)}, max(len(way)-then, then-len(way)))
	}
	for _, p := range way {
		assumed := func(c Cause, cents float64) Term { // no key of a rig says them
			return Term{c, stray.Error{Law: stray.Limit, Size: cents}, Assumed, "gear"}
		}
		terms = append(terms, assumed(BufferGain, math.Abs(v.cents(volts, profiles.Volts(p.GainError)*volts))), assumed(BufferOffset, v.cents(volts, p.ZeroError)))
	}
	return terms
}

// tracking counts from the key at which the oscillator is trimmed; once the voice was
// measured, from the nearest reading.
func (v *voicing) tracking(key float64) Term {
	octaves := math.Abs(key-float64(v.kind.TrimKey)) / 12
	if v.correction.Residual != nil {
		at := v.readings()
		low, high := PitchAt(v.box, v.m.Rig.A4, slices.Min(at)), PitchAt(v.box, v.m.Rig.A4, slices.Max(at))
		octaves = max(low-key, key-high, 0) / 12
	}
	return v.of(Tracking, stray.Limit, float64(v.kind.Tracking)*octaves, v.kindPath("tracking"))
}

// readings are the volts that a correction rests on; evenly over the range of the
// voice where it does not say, or fewer than a fit takes.
func (v *voicing) readings() []profiles.Volts {
	if at := v.correction.Readings; len(at) > 2 && slices.Max(at) > slices.Min(at) {
		return at
	}
	keys := v.m.Voices[v.voice].Keys
	low, high := keys[0].Volts, keys[len(keys)-1].Volts
	if low == high {
		high += 0.1
	}
	at := make([]profiles.Volts, assumedReadings)
	for i := range at {
		at[i] = low + (high-low)*profiles.Volts(i)/(assumedReadings-1)
	}
	return at
}

// remains is what a correction leaves at a key: the prediction limit of its line.
func (v *voicing) remains(key float64) Term {
	at, x := v.readings(), float64(VoltsAt(v.box, v.m.Rig.A4, key))
	mean, squares := 0.0, 0.0
	for _, volts := range at {
		mean += float64(volts) / float64(len(at))
	}
	for _, volts := range at {
		squares += (float64(volts) - mean) * (float64(volts) - mean)
	}
	s := float64(max(*v.correction.Residual, ReadingSigma))
	t := Term{Remains, stray.Prediction(s, len(at), mean, squares, x), Measured, v.path()}
	if len(v.correction.Readings) < 3 {
		t.Basis = Assumed
	}
	return t
}

// pooled is what is known of the drift of a kind, or of what all have in common.
type pooled struct {
	squares float64 // of changes that were measured
	changes int
	parted  bool // what all have in common is not in it
}

// pool gathers the drifts of the voices of each kind. A drift between days is that of
// each day; the change from one to another has twice its variance. What all voices have
// in common was measured once, however many corrections say it.
func (m *Map) pool() {
	m.pools = make([]pooled, len(m.Rig.Kinds))
	shared := 0
	for _, c := range m.Rig.Corrections {
		if c.Drift == nil {
			continue
		}
		p, changes := &m.pools[m.Rig.Banks[m.Rig.Voices[c.Voice].Bank].Kind], max(1, c.Days-1)
		p.changes += changes
		p.squares += 2 * float64(*c.Drift**c.Drift) * float64(changes)
		if c.CommonDrift == nil {
			continue
		}
		alike := 2 * float64(*c.CommonDrift**c.CommonDrift)
		p.parted = true
		p.squares -= alike * float64(changes)
		m.inCommon.squares += alike
		m.inCommon.changes, shared = max(m.inCommon.changes, changes), shared+1
	}
	for i := range m.pools {
		m.pools[i].squares = max(0, m.pools[i].squares)
	}
	if shared > 0 {
		m.inCommon.squares *= float64(m.inCommon.changes) / float64(shared)
	}
}

// drift is the change between tuning and playing: what the rig says or is assumed,
// or, from s² = (4·σ² + Σd²)/(4 + n), what n changes d of voices of the kind make of it. Where
// readings told apart what all voices have in common, that is a term of its own, and each of
// the two begins with half of σ².
func (v *voicing) drift() []Term {
	path := v.kindPath("drift")
	sigma, basis := v.kind.Drift, v.basis(path)
	if slices.Contains(v.kind.Measured, profiles.MeasuredDrift) {
		basis = Measured
	}
	if basis == Assumed && !v.m.Rig.Tuned.Warm {
		sigma = max(sigma, coldDrift)
	}
	p := v.m.pools[v.m.Rig.Banks[v.m.Rig.Voices[v.voice].Bank].Kind]
	switch prior := float64(sigma * sigma); {
	case p.changes == 0:
		return []Term{{Drift, stray.Error{Law: stray.Deviation, Size: float64(sigma)}, basis, path}}
	case p.parted:
		return []Term{p.term(Drift, prior/2, "corrections.*.drift"), v.m.inCommon.term(CommonDrift, prior/2, "corrections.*.common_drift")}
	default:
		return []Term{p.term(Drift, prior, "corrections.*.drift")}
	}
}

// term is what changes make of a variance that was assumed.
func (p pooled) term(c Cause, prior float64, path string) Term {
	free := priorChanges + p.changes
	s := math.Sqrt((priorChanges*prior + p.squares) / float64(free))
	return Term{c, stray.Error{Law: stray.Fit, Size: s, Free: free}, Measured, path}
}

// temperature counts from the balance key of a converter that is not compensated:
// 1200/T an octave and kelvin.
func (v *voicing) temperature(key float64) Term {
	if v.kind.Compensated {
		return Term{}
	}
	cents := 1200 / roomKelvin * v.m.Rig.Tuned.Kelvin * math.Abs(key-float64(v.kind.BalanceKey)) / 12
	return v.of(Temperature, stray.Limit, cents, "tuned.kelvin")
}

// Scatter is how far a voice strays from others beside it at a key. The gain of an
// interface, a load, temperature, the end of the CV range and what drifts in common move all
// alike, and are left out. Assumed tells whether it rests on what nobody gave or measured.
func (m *Map) Scatter(voice int, key float64) (s detune.Scatter, assumes bool) {
	terms := m.voicings[voice].terms(key)
	sigma := func(causes ...Cause) detune.Cents {
		some := of(terms, causes...)
		assumes = assumes || assumed(some)
		return detune.Cents(sum(some).RMS())
	}
	s = detune.Scatter{Calibration: sigma(Remains), Drift: sigma(Drift), Path: sigma(Zero, Bow, Settling, BufferGain, BufferOffset, Tracking)}
	s.LSB = detune.Cents(sum(of(terms, Rounding)).RMS())
	return s, assumes
}
