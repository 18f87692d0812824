package listen

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study/hearing"
)

// The sine of package math is the other opinion.
func TestSine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1000, 1000).Draw(t, "turns")
		whole, part := math.Modf(x)
		_ = whole
		require.InDelta(t, math.Sin(2*math.Pi*part), sine(x), 2e-13)
	})
	for turns, want := range map[float64]float64{0: 0, 0.25: 1, 0.5: 0, 0.75: -1, 1.0 / 12: 0.5, -0.25: -1} {
		require.InDelta(t, want, sine(turns), 1e-15)
	}
}

// The series is SplitMix64: the first numbers from 1234567, as a reference in C
// prints them (from memory).
func TestDraws(t *testing.T) {
	d := draws(1234567)
	for _, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423} {
		require.Equal(t, want, d.next())
	}
	sum, squares := 0.0, 0.0
	for range 10000 {
		x := d.normal()
		sum, squares = sum+x, squares+x*x
	}
	require.InDelta(t, 0, sum/10000, 0.04) // four deviations of a mean of 10 000
	require.InDelta(t, 1, squares/10000, 0.06)
}

// A key sounds at 440·2^((key−69)/12) Hz, and a bent one at that times 2^(bend/12).
func TestPitch(t *testing.T) {
	for _, key := range []int{33, 69, 96} {
		s := sketchOf(t, rigOf(t, 1, still, ""), songOf(t, []note{{key: key, on: 0, off: 3000}}))
		x, _ := s.sounds(Played, Rate/4, Rate/4+2*Rate)
		want := 440 * math.Pow(2, float64(key-69)/12)
		require.InDelta(t, 0, 1200*math.Log2(peakAt(x, want)/want), 0.1, "key %d", key)
	}
	// Pitch bend 8192 + 2048 of ±2 semitones is +½ semitone.
	s := sketchOf(t, rigOf(t, 1, still, ""), songOf(t, []note{{key: 60, on: 0, off: 3000}}, event{0, []byte{0xE0, 0, 0x50}}))
	x, _ := s.sounds(Played, Rate/4, Rate/4+2*Rate)
	want := 440 * math.Pow(2, (60.5-69)/12)
	require.InDelta(t, 0, 1200*math.Log2(peakAt(x, want)/want), 0.1)
}

// The tuning error and the drift of a voice are within what their deviations allow,
// and are what is heard.
func TestTuning(t *testing.T) {
	p := planOf(t, "rig: Bench\nvoices:\n  plain: {drift: 5 cents, "+still+"}\nbanks:\n  K: {voices: 64, kind: plain}\nparts:\n  pad: {channel: 1}\n", noOverrides)
	list := tunings(p)
	squares := 0.0
	for i := range list {
		for n := range 100 { // over 500 s, which is many turns of each
			x := 100 * list[i].at(float64(n)*5)
			squares += x * x / 100
		}
	}
	require.InDelta(t, 5, math.Sqrt(squares/64), 1.3) // 64 draws: a deviation of 5/√128 = 0.44 of the deviation
	s := sketchOf(t, p, songOf(t, []note{{key: 69, on: 0, off: 3000}}))
	x, _ := s.sounds(Played, 0, Rate)
	off := 1200 * math.Log2(peakAt(x, 440)/440)
	require.InDelta(t, 100*list[0].at(0.5), off, 0.1)
	require.NotZero(t, off)
}

// A unison beats as the map says: the difference of its two pitches is the beat that
// is printed for the key.
func TestBeats(t *testing.T) {
	p := rigOf(t, 2, "sound: {wave: sine}, "+still, ", unison: {voices: 2, spread: 12 cents, law: even}")
	w := p.Map.Unisons[0]
	key := w.Keys[1]
	s := sketchOf(t, p, songOf(t, []note{{key: int(key.Key), on: 0, off: 12000}}))
	x, _ := s.sounds(Played, 0, 11*Rate)
	// The sum of two sines of one amplitude swells with the difference of their
	// pitches: its square has a line there.
	for i := range x {
		x[i] *= x[i]
	}
	want := float64(key.Beats.Pairs[0].Beat)
	require.InEpsilon(t, want, peakAt(x, want), 0.005)
}

// A tail falls by 60 dB in the release, within 2 %.
func TestT60(t *testing.T) {
	for _, release := range []int{200, 1500} {
		s := sketchOf(t, rigOf(t, 1, fmt.Sprintf("sound: {wave: sine}, attack: 0 ms, sustain: 100 %%, release: %d ms", release), ""),
			songOf(t, []note{{key: 81, on: 0, off: 500}}))
		at := func(ms int) float64 { // over 50 ms: 44 periods
			from := int64(ms) * Rate / 1000
			x, _ := s.sounds(Played, from, from+Rate/20)
			return db(rms(x))
		}
		fall := at(510) - at(510+release/2)
		require.InEpsilon(t, 30, fall, 0.02, "release %d ms", release)
		require.InEpsilon(t, 90, at(510)-at(510+3*release/2), 0.02, "release %d ms: it rings on", release)
	}
}

// The attack reaches what the engine reckons with, at any time.
func TestEnvelopeIsTheEngines(t *testing.T) {
	e := alloc.Envelope{Attack: 80 * time.Millisecond, Decay: 300 * time.Millisecond, Sustain: 0.4, Release: time.Second}
	c := newContour(newShape(e), []gate{{on: 1000, full: 1000 + frames(e.Attack), low: 30000}}, never)
	out := make([]int32, 30000)
	require.False(t, c.fill(out, 1000))
	start := time.Duration(1000) * time.Second / Rate
	full := e.FullAt(start, 0)
	for _, n := range []int{0, 1, 100, 2000, 3839, 3841, 10000, 28999} {
		at := start + time.Duration(n)*time.Second/Rate
		require.InDelta(t, e.Level(full, at), float64(out[n])/(1<<levelBits), 2e-6, "sample %d", n)
	}
	low := e.Level(full, start+29000*time.Second/Rate)
	require.InDelta(t, low*math.Pow(10, -3*999.0/Rate), float64(out[29999])/(1<<levelBits), 1e-5)
}

// The level of a key is that of its harmonics by the model: 70 dB SPL at key 60 is 1
// here. With a velocity control 40·log10(v ÷ 127) dB are taken off.
func TestLevels(t *testing.T) {
	for _, key := range []int{36, 60, 84, 96} {
		s := sketchOf(t, rigOf(t, 1, still, ""), songOf(t, []note{{key: key, on: 0, off: 2000}}))
		sum := 0.0
		for _, a := range (hearing.Sound{Cutoff: 2000}).Amplitudes(key) {
			sum += a * a / 2
		}
		x, y := s.sounds(Asked, 4800, 4800+Rate)
		require.InDelta(t, db(math.Sqrt(sum)), db(rms(x)), 0.1, "key %d", key)
		require.Equal(t, x, y)
		if key == 60 {
			require.InDelta(t, 0, db(rms(x)), 0.1)
		}
	}
	s := sketchOf(t, rigOf(t, 1, "inputs: [pitch, gate, velocity], "+still, ""), songOf(t, []note{{key: 60, velocity: 64, on: 0, off: 2000}}))
	x, _ := s.sounds(Asked, 4800, 4800+Rate)
	require.InDelta(t, 40*math.Log10(64.0/127), db(rms(x)), 0.1)
}

// Powers of left and right are the same wherever a voice stands.
func TestPan(t *testing.T) {
	for _, at := range []float64{-1, -0.5, 0, 0.3, 1} {
		l, r := pan(at)
		require.InDelta(t, 1, l*l+r*r, 1e-12)
	}
	l, r := pan(-1)
	require.InDelta(t, 1, l, 1e-12)
	require.InDelta(t, 0, r, 1e-12)
	l, r = pan(0)
	require.InDelta(t, math.Sqrt2/2, l, 1e-12)
	require.InDelta(t, l, r, 1e-12)
	p := rigOf(t, 4, still, ", unison: {voices: 4, spread: 12 cents, pan: 100 %}")
	s := sketchOf(t, p, songOf(t, []note{{key: 60, on: 0, off: 1000}}))
	x, y := s.sounds(Played, 4800, Rate)
	require.NotEqual(t, x, y)
}

// Nothing but the harmonics is there, to −60 dB, from C1 to C7, with a wave as bright
// as a rig may have.
func TestNothingFoldsBack(t *testing.T) {
	const n = 1 << 15
	for _, kind := range []string{still, "sound: {cutoff: 20 kHz}, " + still, "sound: {wave: square, cutoff: 20 kHz}, " + still} {
		for _, key := range []int{24, 36, 47, 60, 72, 85, 96} {
			// A bend of 37/8192 of two semitones keeps harmonics off the lines.
			s := sketchOf(t, rigOf(t, 1, kind, ""), songOf(t, []note{{key: key, on: 0, off: 2000}}, event{0, []byte{0xE0, 37, 64}}))
			x, _ := s.sounds(Played, Rate/4, Rate/4+n)
			f0 := 440 * math.Pow(2, (float64(key)+2*37.0/8192-69)/12)
			wanted, other := 0.0, 0.0
			for k, a := range spectrum(x) {
				f := float64(k) * Rate / n
				if h := math.Round(f / f0); h >= 1 && math.Abs(f-h*f0) <= 5*Rate/n && h*f0 <= 16500 {
					wanted += a * a
				} else {
					other += a * a
				}
			}
			require.Less(t, 10*math.Log10(other/wanted), -60.0, "%s, key %d", kind, key)
		}
	}
}

// Behind a trigger of 100 ms a voice that sustains is heard to fall from there by its
// release of 1 s for 60 dB, though its key stays down for 2 s: after 600 ms by 30 dB.
func TestTriggersAreHeard(t *testing.T) {
	rig := func(pulse string) *Sketch {
		p := planOf(t, "rig: Bench\ninterfaces: {main: {profile: cv4-gate4"+pulse+"}}\nvoices: {plain: {drift: 0 cents, tracking: 0 cents, "+still+"}}\n"+
			"banks: {K: {voices: 1, kind: plain}}\nparts: {pad: {channel: 1}}\n", noOverrides)
		return sketchOf(t, p, songOf(t, []note{{key: 60, on: 0, off: 2000}}))
	}
	level := func(s *Sketch, v Version) float64 {
		x, _ := s.sounds(v, 600*Rate/1000, 700*Rate/1000)
		return db(rms(x))
	}
	full := level(rig(""), Played)
	// 500 to 600 ms after its gate it has fallen by 30 to 36 dB: the mean of squares is
	// (1 − 10^−0.6)/(0.6·ln 10)·10^−3, −32.7 dB.
	want := 10 * math.Log10((1-math.Pow(10, -0.6))/(0.6*math.Ln10)*1e-3)
	for _, v := range []Version{Asked, Played} {
		require.InDelta(t, want, level(rig(", trigger: 100 ms"), v)-full, 0.3)
	}
}
