package hearing

import (
	"math"
	"sync/atomic"
)

// Wave is the waveform of a voice.
type Wave uint8

// The waveforms: harmonic h has the amplitude 1/h (saw), 1/h where h is odd
// (square), 1/h² where it is odd (triangle); a sine has but the first.
const (
	Saw Wave = iota
	Square
	Triangle
	Sine
)

// waves are their names.
var waves = [...]string{Saw: "saw", Square: "square", Triangle: "triangle", Sine: "sine"}

// String is the name of a wave.
func (w Wave) String() string { return waves[w] }

// Sound is what a voice sounds like: a wave through a low-pass of four poles without
// resonance, of amplitude (1 + (f/fc)²)⁻².
type Sound struct {
	Wave   Wave
	Cutoff float64 // fc at key 60, in Hz, where the filter takes 12 dB: 100–20 000
	Track  float64 // by how much of an octave fc follows a key by an octave, 0–1
}

const (
	highest   = 16000.0 // Hz; harmonics above it are left out
	keyA4     = 69
	keyC4     = 60
	lowestKey = -48 // transposed
	keyCount  = 224
)

// pitch returns the frequency of a key, of equal temperament on 440 Hz.
func pitch(key int) float64 { return 440 * exp(float64(key-keyA4)*(math.Ln2/12)) }

// harmonic returns the power of a harmonic of a key, before the gain of the kind.
func (s Sound) harmonic(key, h int, f0 float64) float64 {
	n := float64(h)
	amplitude := 1 / n
	switch {
	case s.Wave == Sine && h > 1, (s.Wave == Square || s.Wave == Triangle) && h%2 == 0:
		return 0
	case s.Wave == Triangle:
		amplitude /= n
	}
	fc := s.Cutoff * exp(float64(key-keyC4)*s.Track*(math.Ln2/12))
	x := n * f0 / fc
	pass := 1 / (1 + float64(x*x))
	amplitude *= float64(pass * pass)
	return float64(amplitude * amplitude)
}

// powers are those of a key's harmonics, from the first, with a gain.
func (s Sound) powers(key int, gain float64) []float64 {
	f0 := pitch(key)
	var list []float64
	for h := 1; float64(h)*f0 <= highest; h++ {
		list = append(list, float64(gain*s.harmonic(key, h, f0)))
	}
	return list
}

// gain returns what brings key 60 to a level in dB SPL. Other keys have the same:
// a gain for each key would undo the filter.
func (s Sound) gain(levelDB float64) float64 {
	sum := 0.0
	for _, p := range s.powers(keyC4, 1) {
		sum += p
	}
	return power(levelDB) / sum
}

// tone is a key of a sound as the ear has it.
type tone struct {
	excites row
	most    float64 // of excites ÷ noise, over the bands
	// low and high are the bands that it excites, high not among them: what is below
	// nothing of the noise, 0.0004 dB, is 0.
	low, high int
}

// tones are those of a sound at a level, made as they are asked for. Several
// goroutines may ask.
type tones struct {
	sound Sound
	gain  float64
	keys  [keyCount]atomic.Pointer[tone]
}

func newTones(s Sound, levelDB float64) *tones { return &tones{sound: s, gain: s.gain(levelDB)} }

// of returns the tone of a key, as it sounds.
func (t *tones) of(key int) *tone {
	at := min(max(key-lowestKey, 0), keyCount-1)
	if known := t.keys[at].Load(); known != nil {
		return known
	}
	t.keys[at].CompareAndSwap(nil, newTone(pitch(key), t.sound.powers(key, t.gain)))
	return t.keys[at].Load()
}

// newTone spreads harmonics over the bands. From one harmonic to the next the
// exponential of the filter changes by one factor, below the centre of a band and
// above it, so that there is no exponential for each of them.
func newTone(f0 float64, powers []float64) *tone {
	t := &tone{}
	for b := range Bands {
		c, slope := theEar.hz[b], theEar.slope[b]
		below := min(len(powers), int(c/f0))
		step := exp(float64(-slope * f0))
		sum := 0.0
		side := func(h, by int) {
			pg := float64(slope * math.Abs(float64(float64(h)*f0)-c))
			for e := exp(-pg); h >= 1 && h <= len(powers) && pg < 40; h += by {
				sum += float64(powers[h-1] * float64((1+pg)*e))
				pg += float64(slope * f0)
				e = float64(e * step)
			}
		}
		side(below, -1)
		side(below+1, 1)
		t.excites[b] = sum
		t.most = max(t.most, sum/theEar.noise[b])
	}
	t.trim()
	return t
}

// nothing is what of the noise does not count at all.
const nothing = 1e-4

// trim leaves out the bands below and above those that matter.
func (t *tone) trim() {
	for t.high = Bands; t.high > 0 && t.excites[t.high-1] < float64(nothing*theEar.noise[t.high-1]); t.high-- {
		t.excites[t.high-1] = 0
	}
	for ; t.low < t.high && t.excites[t.low] < float64(nothing*theEar.noise[t.low]); t.low++ {
		t.excites[t.low] = 0
	}
}
