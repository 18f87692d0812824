package recorded

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/take"
	"choirloft/routing/tuning"
)

// fake is one voice of a simulated rack: an oscillator whose phase runs free, a filter,
// an envelope, and what its jacks hang on.
type fake struct {
	offset, stretch float64 // cents at C4, and for each octave above
	release, attack float64 // seconds
	level           float64 // of the fundamental
	latency         float64 // seconds
	least           float64 // the shortest gate that opens it, seconds
	cutoff          float64 // hertz, of a filter of two poles
	second          float64 // level of an oscillator an octave up, of the first
	fundamental     float64 // what the filter and the mixer leave of it: 1 in a saw
	pitch           int     // the channel that its pitch hangs on; −1 for none
	gates           []int   // the channels that open it
	stuck           bool
	octaves         int
}

// rack is a simulated rack with the recorder beside it.
type rack struct {
	voices         []fake
	rate           int
	ppm            float64 // by which the recorder is fast
	lead, tail     float64 // seconds before and after the take
	hum, hiss      float64 // RMS
	bits, channels int     // bits 32 are floats
	gain           float64
	random         *rand.Rand
}

// plain is a rack of voices without faults, each a little different.
func plain(random *rand.Rand, n int) *rack {
	r := &rack{rate: 44100, lead: 1 + 2*random.Float64(), tail: 1, bits: 16, channels: 1, gain: 1, random: random, ppm: 400*random.Float64() - 200,
		hum: 0.1 * 0.0316, hiss: 0.1 * 0.00316}
	for i := range n {
		r.voices = append(r.voices, fake{offset: 12*random.Float64() - 6, stretch: 2*random.Float64() - 1, release: 0.15 * math.Pow(20, random.Float64()),
			attack: 0.002 * math.Pow(10, random.Float64()), level: 0.1 * (1 + random.Float64()), latency: 0.003 * random.Float64(),
			cutoff: 1500 + 3000*random.Float64(), fundamental: 1, pitch: i, gates: []int{i}})
	}
	return r
}

// takeOf is the take of a rig of so many voices.
func takeOf(t testing.TB, n int, o take.Options) *take.Take {
	t.Helper()
	return takeWith(t, n, o, "")
}

// takeWith is the same where the rig says more.
func takeWith(t testing.TB, n int, o take.Options, more string) *take.Take {
	t.Helper()
	rig, faults := profiles.Read("test.yaml", fmt.Appendf(nil,
		"rig: Wall\ninterfaces: {main: {profile: cv32-gate32, window: 0 V to 5 V, zero_key: 36}}\nbanks: {K: {voices: %d}}\nparts: {p: {}}\n%s", n, more), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	made, err := take.New(p, o)
	require.NoError(t, err)
	return made
}

// keyAt is the key that a channel asks for at a time: that of its last note, and 0 V,
// which is key 36, before the first.
func keyAt(p *take.Part, at float64, hint *int) float64 {
	for *hint < len(p.Notes) && p.Notes[*hint].At.Seconds() <= at {
		*hint++
	}
	if *hint == 0 {
		return 36
	}
	n := &p.Notes[*hint-1]
	if at > n.End().Seconds()+0.01 {
		return float64(n.Key)
	}
	return float64(n.Key) + n.Bend
}

// play adds what a voice sounds in a take to a recording.
func (r *rack) play(to []float64, v *fake, made *take.Take) {
	type edge struct {
		at float64
		up bool
	}
	var edges []edge
	for _, c := range v.gates {
		for _, n := range made.Parts[c].Notes {
			if n.Long.Seconds() < v.least {
				continue
			}
			edges = append(edges, edge{n.At.Seconds() + v.latency, true}, edge{n.End().Seconds() + v.latency, false})
		}
	}
	if v.stuck {
		edges = []edge{{-r.lead, true}}
	}
	slices.SortFunc(edges, func(a, b edge) int {
		if a.at < b.at {
			return -1
		}
		return 1
	})
	dt := 1 / (float64(r.rate) * (1 + r.ppm*1e-6))
	phase, env, up, next, hint := r.random.Float64(), 0.0, false, 0, 0
	rise, fall := math.Exp(-dt*math.Log(1.3/0.3)/v.attack), math.Exp(-dt*math.Log(1000)/v.release)
	key, step := math.NaN(), 0.0
	var harmonics []float64
	for i := range to {
		at := float64(i)*dt - r.lead
		for next < len(edges) && edges[next].at <= at {
			up = edges[next].up
			next++
		}
		switch {
		case up && env < 1:
			env = math.Min(1, 1.3-(1.3-env)*rise)
		case !up:
			env *= fall
		}
		if env < 1e-5 {
			continue
		}
		now := 36.0
		if v.pitch >= 0 {
			now = keyAt(&made.Parts[v.pitch], at, &hint)
		}
		if now != key {
			key = now
			hertz := 440 * math.Exp2((key-69)/12+(v.offset+v.stretch*(key-60)/12)/1200+float64(v.octaves))
			step, harmonics = hertz*dt, v.harmonics(hertz, float64(r.rate))
		}
		phase += step
		phase -= math.Floor(phase)
		// sin (h+1)x = 2 cos x sin hx − sin (h−1)x
		s, c := math.Sincos(2 * math.Pi * phase)
		before, sine, sum := 0.0, s, 0.0
		for _, a := range harmonics {
			sum += a * sine
			before, sine = sine, 2*c*sine-before
		}
		to[i] += v.level * env * sum
	}
}

// harmonics are those of a saw through the filter.
func (v *fake) harmonics(hertz, rate float64) (all []float64) {
	for h := 1.0; h <= 24 && h*hertz < 0.4*rate; h++ {
		all = append(all, 1/h/(1+math.Pow(h*hertz/v.cutoff, 2)))
	}
	all[0] *= v.fundamental
	for h := 2; h <= len(all); h += 2 {
		f := float64(h) * hertz
		all[h-1] += v.second / float64(h/2) / (1 + math.Pow(f/v.cutoff, 2))
	}
	return all
}

// record is the recording of a take, as a WAV file.
func (r *rack) record(made *take.Take) []byte {
	x := make([]float64, int((made.Length.Seconds()+r.lead+r.tail)*float64(r.rate)))
	for i := range r.voices {
		r.play(x, &r.voices[i], made)
	}
	for i := range x {
		t := float64(i) / float64(r.rate)
		x[i] += r.hum * (math.Sin(2*math.Pi*50*t) + 0.5*math.Sin(2*math.Pi*100*t+1) + 0.5*math.Sin(2*math.Pi*150*t+2)) * math.Sqrt2 / 1.22
		x[i] = (x[i] + r.hiss*r.random.NormFloat64()) * r.gain
	}
	return wavFile(x, r.rate, r.bits, r.channels)
}

// wavFile is samples as a file of 16, 24 or 32 (float) bits, the same on each channel.
func wavFile(x []float64, rate, bits, channels int) []byte {
	format, width := uint16(1), bits/8
	if bits == 32 {
		format = 3
	}
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	size := len(x) * width * channels
	b.WriteString("RIFF")
	put(uint32(36 + size))
	b.WriteString("WAVEfmt ")
	put([]uint32{16, uint32(format) | uint32(channels)<<16, uint32(rate), uint32(rate * width * channels), uint32(width*channels) | uint32(bits)<<16})
	b.WriteString("data")
	put(uint32(size))
	for _, v := range x {
		v = math.Max(-1, math.Min(1-1.0/(1<<15), v))
		for range channels {
			switch bits {
			case 16:
				b.Write(binary.LittleEndian.AppendUint16(nil, uint16(int16(math.Round(v*(1<<15))))))
			case 24:
				b.Write(binary.LittleEndian.AppendUint32(nil, uint32(int32(math.Round(v*(1<<23)))))[:3])
			default:
				b.Write(binary.LittleEndian.AppendUint32(nil, math.Float32bits(float32(v))))
			}
		}
	}
	return b.Bytes()
}

// heard reads a recording.
func heard(t testing.TB, made *take.Take, data []byte) (*Result, error) {
	t.Helper()
	sound, err := tuning.OpenSound(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	return Read(t.Context(), made, Mix(sound))
}

// wantCents is by how much a voice is off at a key.
func (v *fake) wantCents(key float64) float64 { return v.offset + v.stretch*(key-60)/12 }

// wantLevel is that of a key in dB: the squares of its harmonics, half of them.
func (v *fake) wantLevel(key, rate float64) float64 {
	sum := 0.0
	for _, a := range v.harmonics(440*math.Exp2((key-69)/12), rate) {
		sum += a * a / 2
	}
	return 10 * math.Log10(sum*v.level*v.level)
}

// worst are the largest errors over some racks, as shares of what is allowed.
type worst struct{ pitch, low, release, attack, level, latency float64 }

// compare holds what was heard of voices in their places to what they are.
func (w *worst) compare(r *rack, got *Result) {
	quickest := math.Inf(1)
	tenth := func(v *fake) float64 { return v.latency + v.attack*math.Log(1.3/1.2)/math.Log(1.3/0.3) }
	for i := range r.voices {
		quickest = math.Min(quickest, tenth(&r.voices[i]))
	}
	most := func(to *float64, v float64) {
		if v > *to || math.IsNaN(v) {
			*to = v
		}
	}
	for i := range got.Voices {
		g, v := &got.Voices[i], &r.voices[got.Voices[i].Voice]
		if g.State != OK {
			continue
		}
		for _, m := range g.Readings {
			off := math.Abs(m.Cents - v.wantCents(float64(m.Key)+m.Bend))
			if m.Key < 48 {
				most(&w.low, off)
			} else {
				most(&w.pitch, off)
			}
		}
		most(&w.release, math.Abs(g.Release-v.release)/math.Max(0.05*v.release, 0.010))
		p := &got.Take.Parts[i]
		if silent := 60*(p.From-p.Notes[0].End()).Seconds() >= 45*v.release; !math.IsNaN(g.Attack) || silent { // else it rises from a tail
			most(&w.attack, math.Abs(g.Attack-v.attack)/math.Max(0.2*v.attack, 0.001))
			most(&w.latency, math.Abs(g.Latency-(tenth(v)-quickest))/math.Max(0.001, 0.05*v.attack*boolFloat(v.attack > 0.02)))
		}
		nearest := midi.Key(127)
		for _, m := range g.Readings {
			if away(m.Key) < away(nearest) {
				nearest = m.Key
			}
		}
		most(&w.level, math.Abs(g.Level-v.wantLevel(float64(nearest), float64(r.rate))-20*math.Log10(r.gain)))
	}
}

func boolFloat(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
