package routing

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/stray"
)

// at is what causes do to the first voice of a map at a key, in the size of their law.
func (m *Map) at(t *testing.T, key int, c Cause) float64 {
	t.Helper()
	terms := of(m.At(0, key).Terms, c)
	if len(terms) == 0 {
		return 0
	}
	return terms[0].Size
}

// The demo, written out at its worst key, C7 (96), 5 V and three octaves above C4 (60):
// half a step of 5 V/2^16 (0.183105 cents by 10 V, half of that by 5 V, half again); gain
// 0.1 % of 6000 cents; 2 mV by 1.2 cents a mV; 4 steps; 3 cents an octave; drift 2 cents.
func TestBudgetOfTheDemo(t *testing.T) {
	b := demoMap(t).Voices[0].Budget
	require.Equal(t, 96, b.Key)
	step := 0.183105 / 2
	want := map[Cause]float64{Rounding: step / 2, Gain: 6, Zero: 2.4, Bow: 4 * step, Tracking: 9, Drift: 2}
	require.Len(t, b.Terms, len(want))
	for _, term := range b.Terms {
		require.InDelta(t, want[term.Cause], term.Size, 1e-5, term.Cause)
		if term.Cause != Rounding {
			require.Equal(t, Assumed, term.Basis, term.Cause)
		}
	}
	require.InDelta(t, step/2+6+2.4+4*step+9+3.29*2, b.Worst(), 1e-4)
	squares := step*step/4 + 36 + 2.4*2.4 + 16*step*step + 81
	require.InDelta(t, math.Sqrt(squares/3+4), b.RMS(), 1e-4)
	require.Greater(t, b.Likely(), 1.85*b.RMS()) // three limits have shorter tails than 1.96
	require.Less(t, b.Likely(), 2.0*b.RMS())
	require.True(t, b.Assumed())
}

const budgetRig = `
interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm, bits: 12, window: 0 V to 10 V, gain_error: 0 %, offset_error: 0 mV, nonlinearity: 0}}
voices: {k: {pitch_resistance: 100 kohm, drift: 1 cents, tracking: 0 cents}}
banks: {K: {voices: 4, kind: k}}
`

// Written out: 10·1200/4096 = 2.929688 cents a step, half 1.464844. Loading
// 1200·(1.01/1.04 − 1) = −34.61538 cents per octave over the keys 36–127, of which
// 127 lies (127 − 36)/12 = 7.58333 octaves up: −262.5.
func TestBudgetOfALoadedVoice(t *testing.T) {
	m := mapOf(t, budgetRig+"wiring: [{from: main.cv 1, through: passive, to: K.pitch}]\n")
	b := m.Voices[0].Budget
	require.Equal(t, 127, b.Key)
	require.InDelta(t, 1.464844, m.at(t, 127, Rounding), 1e-6)
	require.InDelta(t, -34.61538*91/12, m.at(t, 127, Loading), 1e-3)
	require.False(t, b.Assumed()) // all is given
	require.InDelta(t, 34.61538*91/12+1.464844+3.29, b.Worst(), 1e-3)
	require.Zero(t, m.at(t, 36, Loading)) // at 0 V nothing is lost
}

// Four readings over 0–3 V with a deviation of 0.5 cents: at 7.58333 V the prediction limit
// is 0.5·√(1 + 1/4 + (7.58333 − 1.5)²/5) = 1.47099 with 2 degrees of freedom (Σ(x − 1.5)² =
// 2.25 + 0.25 + 0.25 + 2.25). What the readings contain is gone: load, gain, offset. Beyond
// the highest reading, key 72, tracking counts: (127 − 72)/12 octaves of 3 cents.
func TestBudgetOfAMeasuredVoice(t *testing.T) {
	const rig = `
interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm, window: 0 V to 10 V}}
banks: {K: {voices: 4}}
wiring: [{from: main.cv 1, through: passive, to: K.pitch}]
`
	m := mapOf(t, rig+"corrections: {K1: {residual: 0.5 cents, readings: [0 V, 1 V, 2 V, 3 V], measured: 2026-11-02}}\n")
	terms := of(m.Voices[0].Budget.Terms, Remains)
	require.Len(t, terms, 1)
	require.Equal(t, 2, terms[0].Free)
	require.Equal(t, Measured, terms[0].Basis)
	require.InDelta(t, 0.5*math.Sqrt(1.25+math.Pow(91.0/12-1.5, 2)/5), terms[0].Size, 1e-9)
	for _, c := range []Cause{Loading, Gain, Zero, Bow} {
		require.Zero(t, m.at(t, 127, c), c)
	}
	require.InDelta(t, 3*55.0/12, m.at(t, 127, Tracking), 1e-9)
	require.Zero(t, m.at(t, 72, Tracking))
	require.Equal(t, 2.0, m.at(t, 60, Drift)) // one day tells nothing of drift
	require.NotZero(t, len(of(m.At(1, 127).Terms, Loading)))

	// measured alone on the jack, where now four hang: the difference, −34.61538 an octave
	m = mapOf(t, rig+"corrections: {K1: {residual: 0.5 cents, readings: [0 V, 1 V, 2 V, 3 V], inputs: 1}}\n")
	require.InDelta(t, -34.61538, m.at(t, 48, Loading), 1e-4)
	// and without the multiple that is on the way now
	m = mapOf(t, "banks: {K: {voices: 4}}\ninterfaces: {main: {profile: cv8-gate8}}\nwiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n"+
		"corrections: {K1: {residual: 0.5 cents, multiples: 0}, K2: {residual: 0.5 cents, multiples: 1}, K3: {residual: 0.05 cents}}\n")
	require.InDelta(t, 1.2, m.at(t, 48, BufferGain), 1e-9)
	require.Empty(t, of(m.At(1, 48).Terms, BufferGain))
	// nobody says how many readings: five from 0 V to 5 V; never less than 0.1 cents for one
	left := of(m.At(2, 36).Terms, Remains)[0]
	require.Equal(t, Assumed, left.Basis)
	require.Equal(t, 3, left.Free)
	require.InDelta(t, 0.1*math.Sqrt(1+0.2+2.5*2.5/(2*(1.25*1.25+2.5*2.5))), left.Size, 1e-9)
}

// 0.1 % is 1.2 cents per octave and 1 mV is 1.2 cents, a level. Four voices
// of multiples with two outputs take two levels.
func TestBudgetThroughBuffers(t *testing.T) {
	m := mapOf(t, budgetRig+"wiring: [{from: main.cv 1, through: buffered 2, to: K.pitch}]\n")
	b := m.Voices[0].Budget
	require.Len(t, of(b.Terms, BufferGain, BufferOffset), 4)
	require.InDelta(t, 2*(1.2*91/12+1.2), b.Of(BufferGain, BufferOffset).Worst, 1e-9)
	require.Zero(t, b.Of(Loading).Worst) // one input hangs on the jack, as at calibration
	require.True(t, b.Assumed())
}

// With hertz per volt an offset tells most where the volts are least, a gain and a
// load move all keys alike: −50.674 cents (routing/circuit has the sum). The lowest key in
// reach is judged, never key 0 at 8 Hz.
func TestBudgetInHertzPerVolt(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm, window: 0.1 V to 8 V, scale: 261.63 Hz at 1 V}}\nbanks: {K: {voices: 4}}\n"
	m := mapOf(t, rig+"wiring: [{from: main.cv 1, through: passive, to: K.pitch}]\n")
	require.InDelta(t, 50.674, m.Voices[0].Budget.Of(Loading).Worst, 1e-3)
	require.InDelta(t, -50.674, m.at(t, 60, Loading), 1e-3)
	m = mapOf(t, rig+"wiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n")
	// the lowest key at or above 26.163 Hz is 21 (27.5 Hz: 440/16): 27.5/261.63 = 0.105110 V
	require.Equal(t, 21, m.Voices[0].Budget.Key)
	require.InDelta(t, 1200*math.Log2(1.001), m.at(t, 21, BufferGain), 1e-9)
	require.InDelta(t, 1200*math.Log2(1+0.001/0.105110), m.at(t, 21, BufferOffset), 1e-3)
	require.InDelta(t, 1200*math.Log2(1+0.002/0.105110), m.at(t, 21, Zero), 1e-2)
}

// Volts that are never rounded still leave drift; a voice without a jack has no
// budget.
func TestNoBudgetWithoutAJack(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {cv: 1, gates: 1}}\nbanks: {K: {voices: 2}}\n")
	require.NotNil(t, m.Voices[0].Budget)
	require.Nil(t, m.Voices[1].Budget)
	require.Nil(t, m.At(1, 60))
	s, assumes := m.Scatter(1, 60)
	require.InDelta(t, 2, float64(s.Sigma()), 1e-12)
	require.True(t, assumes)
}

// Neighbours that come through different buffers scatter by these too: with 4
// cents between neighbours and drift 1 the order is safe (2σ = 2), and with a
// level of buffers that may be 1.2·45/12 cents off by gain at the middle key, 81, and 1.2 by
// offset, each by its limit/√3, it is not.
func TestBuffersBlurADetune(t *testing.T) {
	const part = "parts: {p: {unison: {voices: 2, spread: 4 cents}}}\n"
	require.NotContains(t, mapOf(t, budgetRig+part).codes(), MaySwap)
	wiring := "wiring:\n"
	for n := 1; n <= 4; n++ {
		wiring += fmt.Sprintf("  - {from: main.cv %d, through: buffered 4, to: K%d.pitch}\n", n, n)
	}
	m := mapOf(t, budgetRig+part+wiring)
	swap := m.only(t, MaySwap)
	require.True(t, swap.Assumed)
	own, _ := m.Scatter(0, 81)
	step := 2.929688
	require.InDelta(t, math.Sqrt(1+(math.Pow(1.2*45/12, 2)+1.2*1.2+step*step/4)/3), float64(own.Sigma()), 1e-6)
}

// At 1.2 V an octave 1 mV is a cent, not 1.2; gain errors and loads are shares,
// and the same cents an octave. 6 V are the five octaves of keys 36–96.
func TestBudgetAtAnotherScale(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm, window: 0 V to 6 V, scale: 1.2 V/oct}}\nbanks: {K: {voices: 4}}\n"
	m := mapOf(t, rig+"wiring: [{from: main.cv 1, through: passive, to: K.pitch}]\n")
	require.InDelta(t, -5*34.61538, m.at(t, 96, Loading), 1e-3)
	require.InDelta(t, 2, m.at(t, 96, Zero), 1e-9)
	m = mapOf(t, rig+"wiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n")
	require.InDelta(t, 5*1.2+1, m.Voices[0].Budget.Of(BufferGain, BufferOffset).Worst, 1e-9)
	// 6 V by 2^16 steps, 1200 cents to 1.2 V: half of 0.0915527
	require.InDelta(t, 6.0/65536*1000/2, m.at(t, 96, Rounding), 1e-9)
}

// Only keys that are played count: those of the zone, transposed. An end of the zone that
// is the end of all keys says nothing; one beyond the CV range is clamped there, exactly.
func TestKeysThatAreJudged(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\n"
	for _, c := range []struct {
		parts     string
		low, high int
	}{
		{"", 36, 96},
		{"parts: {p: {keys: 48-72}}\n", 48, 72},
		{"parts: {p: {keys: 48-60, transpose: 12}}\n", 60, 72},
		{"parts: {p: {keys: 48-60}, q: {keys: 72-84}}\n", 48, 84},
		{"parts: {p: {keys: 0-60}}\n", 36, 60},
		{"parts: {p: {keys: 30-60}}\n", 30, 60},
		{"parts: {p: {keys: 30-60, out_of_range: drop}}\n", 36, 60},
		{"parts: {p: {keys: 90-127}}\n", 90, 96},
	} {
		m := mapOf(t, rig+c.parts)
		low, high := m.Played(0)
		require.Equal(t, [2]int{c.low, c.high}, [2]int{low, high}, c.parts)
		require.GreaterOrEqual(t, m.Voices[0].Budget.Key, c.low)
		require.LessOrEqual(t, m.Voices[0].Budget.Key, c.high)
	}
	m := mapOf(t, rig+"parts: {p: {keys: 30-60}}\n")
	require.Equal(t, 30, m.Voices[0].Budget.Key)
	require.InDelta(t, 600, m.at(t, 30, Clamping), 1e-6) // C2 in place of F#1
	require.Zero(t, m.at(t, 36, Clamping))
	m = mapOf(t, rig+"corrections: {K1: {offset: -10 mV, residual: 0.3 cents}}\n")
	require.InDelta(t, 12, m.at(t, 36, Clamping), 1e-6) // −10 mV cannot be sent
}

// What a rig gives replaces what is assumed; each side of trimmed, of 16 bits, of warm.
func TestWhatIsAssumed(t *testing.T) {
	rig := func(box, voices, rest string) *Map {
		return mapOf(t, "interfaces: {main: {profile: cv8-gate8, "+box+"}}\nvoices: {k: {"+voices+"}}\nbanks: {K: {voices: 2, kind: k}}\n"+rest)
	}
	m := rig("trimmed: false, bits: 15", "drift: 2 cents", "")
	require.InDelta(t, 6, m.at(t, 48, Gain), 1e-9)
	require.InDelta(t, 12, m.at(t, 48, Zero), 1e-9)
	require.InDelta(t, StepCents(&m.Rig.Interfaces[0], 440, 48), m.at(t, 48, Bow), 1e-9)
	m = rig("gain_error: 0.05 %, offset_error: 1 mV, nonlinearity: 2", "tracking: 1 cents, trim_key: 36", "")
	require.InDelta(t, 0.6, m.at(t, 48, Gain), 1e-9)
	require.InDelta(t, 1.2, m.at(t, 48, Zero), 1e-9)
	require.InDelta(t, 1, m.at(t, 48, Tracking), 1e-9)
	require.Equal(t, Given, of(m.At(0, 48).Terms, Gain)[0].Basis)

	require.Equal(t, 10.0, rig("", "profile: saw-lowpass", "tuned: {warm: false}\n").at(t, 48, Drift))
	require.Equal(t, 3.0, rig("", "drift: 3 cents", "tuned: {warm: false}\n").at(t, 48, Drift))
	// 1200/298.15 an octave and kelvin, 4.0248: three kelvin, an octave from the balance key
	require.InDelta(t, 3*1200/298.15, rig("", "compensated: false", "tuned: {kelvin: 3}\n").at(t, 48, Temperature), 1e-9)
	require.Zero(t, rig("", "compensated: false", "").at(t, 48, Temperature))
	require.Zero(t, rig("", "compensated: true", "tuned: {kelvin: 3}\n").at(t, 48, Temperature))
}

// Drift is pooled over a kind: two voices of two and three days with 1 and 2 cents between
// days are 1 and 2 changes of variance 2·1² and 2·2²: s² = (4·2² + 2 + 2·8)/(4 + 3) = 34/7.
func TestDriftIsPooled(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\n"+
		"corrections: {K1: {residual: 0.3 cents, drift: 1 cents}, K2: {residual: 0.3 cents, drift: 2 cents, days: 3}}\n")
	for voice := range m.Voices {
		d := of(m.At(voice, 60).Terms, Drift)[0]
		require.Equal(t, stray.Error{Law: stray.Fit, Size: math.Sqrt(34.0 / 7), Free: 7}, d.Error)
		require.Equal(t, Measured, d.Basis)
	}
}

// Of the gain and the zero of an audio interface nothing can be assumed, until the rig
// says or a voice is measured.
func TestUnknownUntilMeasured(t *testing.T) {
	m := mapOf(t, "interfaces: {main: {profile: audio-dc8}}\nbanks: {K: {voices: 2}}\ncorrections: {K1: {residual: 0.3 cents}}\n")
	require.Empty(t, m.Voices[0].Budget.Unknown)
	require.Len(t, m.Voices[1].Budget.Unknown, 2)
	m = mapOf(t, "interfaces: {main: {profile: audio-dc8, gain_error: 0.2 %, offset_error: 3 mV}}\nbanks: {K: {voices: 2}}\n")
	require.Empty(t, m.Voices[0].Budget.Unknown)
}

// A CV that goes to its new volts with 0.5 ms, and is sent 0.5 ms late, has 1.5 ms of a lead
// of 2 ms: e^−3 of the way between the ends of the keys is left. Where the lead is not ours nothing is.
func TestSettling(t *testing.T) {
	const rest = "banks: {K: {voices: 2}}\nparts: {p: {keys: 48-60}}\ntiming: {lead: 2 ms}\n"
	m := mapOf(t, "interfaces: {main: {profile: audio-dc8, settling: 0.5 ms, update: 0.5 ms}}\n"+rest)
	require.InDelta(t, 1200*math.Exp(-3), m.at(t, 48, Settling), 1e-9)
	// within 3 cents after τ·ln(1200/3)
	require.InDelta(t, 0.5+0.5*math.Log(400), float64(m.Settled(0))/1e6, 1e-3)
	m = mapOf(t, "interfaces: {main: {profile: audio-dc8, update: 3 ms}}\n"+rest)
	require.InDelta(t, 1200, m.at(t, 48, Settling), 1e-9)
	m = mapOf(t, "interfaces: {main: {profile: cv8-gate8, settling: 0.5 ms}}\n"+rest)
	require.Zero(t, m.at(t, 48, Settling))
}

// What all voices drift by alike is apart from their own: of 3 cents between days that K1 and K2 have each on five days,
// 2.4 are in common, and √(3² − 2.4²) = 1.8 their own. Four changes each of variance 2·1.8² are 8 for the kind: s² =
// (4·2 + 8·6.48)/(4 + 8). What they have in common was measured once: s² = (4·2 + 4·2·2.4²)/(4 + 4). Both begin
// with half of 2². One voice strays from another by its own alone.
func TestCommonDriftIsApart(t *testing.T) {
	const correction = "{residual: 0.3 cents, drift: 3 cents, common_drift: 2.4 cents, days: 5}"
	m := mapOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\ncorrections: {K1: "+correction+", K2: "+correction+"}\n")
	for voice := range m.Voices {
		own, alike := of(m.At(voice, 60).Terms, Drift)[0], of(m.At(voice, 60).Terms, CommonDrift)[0]
		require.InDelta(t, math.Sqrt((8+8*6.48)/12), own.Size, 1e-9)
		require.Equal(t, 12, own.Free)
		require.InDelta(t, math.Sqrt((8+8*5.76)/8), alike.Size, 1e-9)
		require.Equal(t, []any{8, Measured, "common drift"}, []any{alike.Free, alike.Basis, alike.Cause.String()})
		s, _ := m.Scatter(voice, 60)
		require.InDelta(t, float64(sum([]Term{own}).RMS()), float64(s.Drift), 1e-9)
	}
}

// Pitch and bend from two interfaces meet in an adder: the steps and the errors of both count.
// The second one rests at 0 V, where its gain does nothing; 10 V by 12 bits are 2.929688 cents a
// step, of which half is rounded and one is its bow; 2 mV are 2.4 cents. The adder's 0.1 % and
// 1 mV stand in no rig, so that they are assumed.
func TestBothAddressesOfAnAdderCount(t *testing.T) {
	const rig = `
interfaces: {main: {profile: cv8-gate8}, box2: {profile: cv8-gate8, bits: 12, window: 0 V to 10 V}}
gear: {sum: {does: adder}}
banks: {K: {voices: 2}}
wiring: [{from: main.cv 1, to: sum}, {from: box2.cv 3, to: sum}, {from: sum, to: K1.pitch}]
`
	m := mapOf(t, rig)
	own, both := m.At(1, 96), m.At(0, 96)
	one := 2.929688
	for c, more := range map[Cause]float64{Rounding: one / 2, Gain: 0, Zero: 2.4, Bow: one, BufferGain: 6, BufferOffset: 1.2, Tracking: 0} {
		require.InDelta(t, own.Of(c).Worst+more, both.Of(c).Worst, 1e-6, c)
	}
	require.True(t, both.Of(BufferGain).Assumed)
	require.Zero(t, m.At(0, 36).Of(Gain).Worst)
	m = mapOf(t, rig+"corrections: {K1: {residual: 0.3 cents}}\n")
	require.Empty(t, of(m.At(0, 60).Terms, Zero, Bow))
	require.Len(t, of(m.At(0, 60).Terms, Rounding), 2) // it goes on rounding
	m = mapOf(t, strings.Replace(rig, "box2: {profile: cv8-gate8,", "box2: {profile: audio-dc8,", 1))
	require.Equal(t, "interfaces.box2.offset_error", m.Voices[0].Budget.Unknown[0].Source)
	require.Len(t, m.Voices[0].Budget.Unknown, 1)
}
