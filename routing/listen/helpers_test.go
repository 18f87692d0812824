package listen

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// someGain is near that of songs on a few voices.
const someGain = peakCode / (1 << 50)

// note is one of a song, in milliseconds.
type note struct {
	channel, key, velocity int
	on, off                int
}

// event is a message at a millisecond.
type event struct {
	at   int
	data []byte
}

// songOf is a song of these notes, and of what else its channels do.
func songOf(t require.TestingT, notes []note, more ...event) *midi.Song {
	all := slices.Clone(more)
	for _, n := range notes {
		velocity := byte(100)
		if n.velocity > 0 {
			velocity = byte(n.velocity)
		}
		all = append(all, event{n.on, []byte{0x90 | byte(n.channel), byte(n.key), velocity}}, event{n.off, []byte{0x80 | byte(n.channel), byte(n.key), 64}})
	}
	slices.SortStableFunc(all, func(a, b event) int {
		if a.at != b.at {
			return a.at - b.at
		}
		return int(a.data[0]&0xF0) - int(b.data[0]&0xF0) // offs first
	})
	var track []byte
	now := 0
	for _, e := range all {
		track = append(variable(track, e.at-now), e.data...)
		now = e.at
	}
	track = append(track, 0, 0xFF, 0x2F, 0)
	data := []byte{'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, 0, 0, 1, 0xE7, 0x28} // 25 frames of 40 ticks: 1 ms each
	data = append(data, 'M', 'T', 'r', 'k')
	data = binary.BigEndian.AppendUint32(data, uint32(len(track)))
	song, err := midi.Read(append(data, track...), midi.Options{})
	require.NoError(t, err)
	return song
}

func variable(to []byte, n int) []byte {
	for s := 28; s > 0; s -= 7 {
		if n>>s > 0 {
			to = append(to, byte(n>>s)|0x80)
		}
	}
	return append(to, byte(n&0x7F))
}

// rigOf is a rig of one bank of voices without drift, for one part.
func rigOf(t require.TestingT, voices int, kind, part string) *plan.Plan {
	text := fmt.Sprintf("rig: Bench\nvoices:\n  plain: {drift: 0 cents, %s}\nbanks:\n  K: {voices: %d, kind: plain}\nparts:\n  pad: {channel: 1%s}\n", kind, voices, part)
	return planOf(t, text, plan.Overrides{})
}

func planOf(t require.TestingT, text string, o plan.Overrides) *plan.Plan {
	rig, faults := profiles.Read("bench.yaml", []byte(text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	return p
}

func sketchOf(t require.TestingT, p *plan.Plan, song *midi.Song) *Sketch {
	s, err := New(p, song)
	require.NoError(t, err)
	return s
}

// still are the keys of a kind that sounds at once and stays.
const still = "attack: 0 ms, sustain: 100 %, release: 1 s"

func none(int64) {}

var noOverrides plan.Overrides

// one is the gain by which a full voice in the middle has an effective value of 1 on
// either side.
var one = math.Sqrt2 / (1 << 46)

// sounds is some frames of a version, left and right, as numbers.
func (s *Sketch) sounds(v Version, from, to int64) (left, right []float64) {
	m := s.mixer(from, everyPart)
	for m.at < to {
		first := m.at
		m.mix()
		for at := max(first, from); at < min(m.at, to); at++ {
			i := at - first
			l, r := m.both.left[i], m.both.right[i]
			if v == Asked {
				l, r = l+m.asked.left[i], r+m.asked.right[i]
			} else {
				l, r = l+m.played.left[i], r+m.played.right[i]
			}
			left, right = append(left, float64(l)*one), append(right, float64(r)*one)
		}
	}
	return left, right
}

// codes are the samples of a take, left and right in turn.
func codes(t require.TestingT, s *Sketch, take Take) []int32 {
	var b bytes.Buffer
	require.NoError(t, s.Write(&b, &take, none))
	data := b.Bytes()
	require.Equal(t, take.File().Bytes(), int64(len(data)))
	data = data[len(take.File().Head()):]
	list := make([]int32, 0, len(data)/3)
	for i := 0; i+2 < len(data); i += 3 {
		list = append(list, int32(uint32(data[i])<<8|uint32(data[i+1])<<16|uint32(data[i+2])<<24)>>8)
	}
	return list
}

// whole is a take of all of a version.
func whole(s *Sketch, v Version, gain float64) Take {
	return Take{Part: everyPart, Gain: gain, Sections: []Section{{Version: v, To: s.Frames}}}
}

func gainOf(t require.TestingT, s *Sketch) float64 {
	p, err := s.Peaks(context.Background(), none)
	require.NoError(t, err)
	return p.Gain()
}

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}

func db(ratio float64) float64 { return 20 * math.Log10(ratio) }

// spectrum is the amplitude at each multiple of the rate over the length, by gonum's
// transform with a Blackman–Harris window (Harris 1978, from memory: side lobes of
// −92 dB, main lobe within 4 bins).
func spectrum(x []float64) []float64 {
	n, sum := len(x), 0.0
	y := make([]float64, n)
	for i := range y {
		a := 2 * math.Pi * float64(i) / float64(n)
		w := 0.35875 - 0.48829*math.Cos(a) + 0.14128*math.Cos(2*a) - 0.01168*math.Cos(3*a)
		y[i], sum = x[i]*w, sum+w
	}
	list := make([]float64, n/2+1)
	for k, z := range fourier.NewFFT(n).Coefficients(nil, y) {
		list[k] = 2 * math.Hypot(real(z), imag(z)) / sum
	}
	return list
}

// peakAt is the frequency of the largest line near one, by turning the signal down by
// it and measuring how fast what is left turns: the phase of the first half against
// that of the second.
func peakAt(x []float64, near float64) float64 {
	for range 4 {
		half := len(x) / 2
		turn := func(from int) float64 {
			var re, im float64
			for i := range half {
				w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(half)) // Hann
				s, c := math.Sincos(2 * math.Pi * near / Rate * float64(from+i))
				re, im = re+x[from+i]*w*c, im-x[from+i]*w*s
			}
			return math.Atan2(im, re) / (2 * math.Pi)
		}
		d := turn(half) - turn(0)
		d -= math.Round(d)
		near += d / (float64(half) / Rate)
	}
	return near
}
