package tuning

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// tone is a sound worked out by the sum of its harmonics, so that nothing in it
// is aliased: an oscillator through a mild filter.
type tone struct {
	hertz   float64
	seconds float64
	rate    int
	noise   float64 // standard deviation, against a peak of about 1
	hum     float64 // amplitude of 50 Hz, and of its second and third harmonic a half and a third
	drift   float64 // cents a second, around the middle
	square  bool
	start   float64 // of the phase, in turns
	seed    uint64
}

func (o tone) record() *Recording {
	if o.rate == 0 {
		o.rate = 48000
	}
	if o.seconds == 0 {
		o.seconds = 1
	}
	rng := rand.New(rand.NewPCG(o.seed, 7))
	n := int(o.seconds * float64(o.rate))
	r := &Recording{Rate: o.rate, Samples: make([]float64, n), Channels: 1}
	highest := min(80, int(math.Min(20000, 0.45*float64(o.rate))/o.hertz))
	phase := o.start
	for i := range r.Samples {
		t := (float64(i) - float64(n-1)/2) / float64(o.rate)
		var v float64
		// Σ sin(nθ)/n by the recurrence sin((n+1)θ) = 2cosθ·sin(nθ) − sin((n−1)θ)
		c, before, now := 2*math.Cos(2*math.Pi*phase), 0.0, math.Sin(2*math.Pi*phase)
		for h := 1; h <= highest; h++ {
			if !o.square || h%2 == 1 {
				v += now / float64(h)
			}
			before, now = now, c*now-before
		}
		for h := 1.0; h <= 3; h++ {
			v += o.hum / h * math.Sin(2*math.Pi*50*h*t+h)
		}
		r.Samples[i] = 0.4*v + 0.4*o.noise*rng.NormFloat64()
		phase += o.hertz * math.Exp2(o.drift*t/1200) / float64(o.rate)
		phase -= math.Floor(phase)
	}
	return r
}

// The pitch of a recording is known exactly, for it was made here: saws and
// pulses from C1, with noise, hum and drift, within half a cent.
func TestPitchIsRecovered(t *testing.T) {
	for _, sound := range []struct {
		name string
		tone tone
	}{
		{"clean", tone{}},
		{"noise", tone{noise: 0.05}},
		{"hum", tone{hum: 0.1}},
		{"drift", tone{drift: 3}},
		{"all", tone{noise: 0.05, hum: 0.1, drift: -3}},
		{"all, pulse", tone{noise: 0.03, hum: 0.05, drift: 2, square: true}},
		{"44.1 kHz, two seconds", tone{noise: 0.05, hum: 0.1, rate: 44100, seconds: 2}},
	} {
		worst, step := 0.0, 5.5*float64(corpora.Some(13, 1))
		for key := 24.0; key <= 96; key += step { // C1 is key 24
			o := sound.tone
			o.hertz = 440 * math.Exp2((key-69)/12)
			o.start, o.seed = 0.37*key, uint64(100*key)
			p, err := PitchOf(o.record())
			require.NoError(t, err, "%s, key %.1f", sound.name, key)
			off := 1200 * math.Log2(float64(p.Hertz)/o.hertz)
			require.InDelta(t, 0, off, 0.5, "%s, key %.1f: %+v", sound.name, key, p)
			require.Greater(t, p.Confidence, 0.5, "%s, key %.1f: %+v", sound.name, key, p)
			worst = math.Max(worst, math.Abs(off))
		}
		t.Logf("%s: within %.3f cents", sound.name, worst)
	}
}

func TestNoSteadyTone(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	noise := &Recording{Rate: 48000, Samples: make([]float64, 48000)}
	for i := range noise.Samples {
		noise.Samples[i] = 0.3 * rng.NormFloat64()
	}
	mix := func(tones ...tone) *Recording {
		r := tones[0].record()
		for _, o := range tones[1:] {
			for i, v := range o.record().Samples {
				r.Samples[i] += v
			}
		}
		return r
	}
	for _, c := range []struct {
		name string
		of   *Recording
		why  string
	}{
		{"silence", &Recording{Rate: 48000, Samples: make([]float64, 48000)}, "silent"},
		{"noise", noise, "periods differ"},
		{"too short", tone{hertz: 220, seconds: 0.3}.record(), "want 0.25 s"},
		{"a glide", tone{hertz: 220, drift: 300}.record(), "wanders"},
		{"a slow slide", tone{hertz: 220, drift: 20}.record(), "wanders"},
		{"a fifth", mix(tone{hertz: 110}, tone{hertz: 164.81}), ""},
		{"a fifth and its bass", mix(tone{hertz: 55}, tone{hertz: 82.41}), ""},
		{"two tones", mix(tone{hertz: 220}, tone{hertz: 247}), ""},
		{"a chord", mix(tone{hertz: 220}, tone{hertz: 277.18}, tone{hertz: 329.63}), "other tones sound too"},
		{"two oscillators 8 cents apart", mix(tone{hertz: 220}, tone{hertz: 220 * math.Exp2(8./1200)}), "other tones sound too"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := PitchOf(c.of)
			require.Error(t, err, "%+v", p)
			var none *NoTone
			require.ErrorAs(t, err, &none)
			require.Contains(t, err.Error(), c.why)
			t.Log(err)
		})
	}
}

func BenchmarkPitch(b *testing.B) {
	for _, hertz := range []float64{32.703, 440} {
		r := tone{hertz: hertz, noise: 0.05, hum: 0.1}.record()
		b.Run(fmt.Sprintf("%.0fHz", hertz), func(b *testing.B) {
			for b.Loop() {
				if _, err := PitchOf(r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
