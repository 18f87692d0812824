package deal

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc/study"
	"choirloft/alloc/timing"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// sound is a file of CVs, read field by field as MS-RDPEAI 2.2.2.3.1 has it.
type sound struct {
	channels, rate, bits int
	mask                 uint32
	float                bool
	chunks               map[string][]byte
	volts                [][]float64 // by channel, as shares of full scale
}

func hear(t require.TestingT, c *CV) *sound {
	var b bytes.Buffer
	require.NoError(t, c.Write(&b))
	data := b.Bytes()
	require.Equal(t, int64(len(data)), c.Bytes())
	require.Equal(t, "RIFF", string(data[:4]))
	require.Equal(t, len(data)-8, int(binary.LittleEndian.Uint32(data[4:])))
	s := &sound{chunks: map[string][]byte{}}
	for at := 12; at < len(data); {
		size := int(binary.LittleEndian.Uint32(data[at+4:]))
		s.chunks[string(data[at:at+4])] = data[at+8 : at+8+size]
		at += 8 + size + size&1
	}
	f := s.chunks["fmt "]
	require.Len(t, f, 40)
	word := func(at int) int { return int(binary.LittleEndian.Uint16(f[at:])) }
	require.Equal(t, 0xFFFE, word(0))
	require.Equal(t, 22, word(16))
	s.channels, s.rate, s.bits, s.mask = word(2), int(binary.LittleEndian.Uint32(f[4:])), word(14), binary.LittleEndian.Uint32(f[20:])
	require.Equal(t, s.channels*s.bits/8, word(12))
	s.float = word(24) == 3
	s.volts = make([][]float64, s.channels)
	for i, samples := 0, s.chunks["data"]; len(samples) > 0; i++ {
		v := 0.0
		if s.float {
			v = float64(math.Float32frombits(binary.LittleEndian.Uint32(samples)))
		} else {
			v = float64(int32(samples[0])<<8|int32(samples[1])<<16|int32(samples[2])<<24) / (1 << 31)
		}
		s.volts[i%s.channels] = append(s.volts[i%s.channels], v)
		samples = samples[s.bits/8:]
	}
	return s
}

// cvWall has detuned stacks, a correction, a glide, velocities and macros.
const cvWall = `rig: Wall
interfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, full_scale: 10 V, gate: 8 V}}
voices: {k: {inputs: [pitch, gate, velocity]}}
banks: {K: {voices: 4, kind: k, lanes: [cutoff]}, L: {voices: 1, kind: k}}
macros: {bite: {from: CC 74 on 16, to: [K.resonance]}, still: {from: CC 75 on 16, to: [L.resonance]}}
parts:
  p: {channel: 1, banks: [K], unison: {voices: 2, spread: 12 cents}, bend_range: 2}
  m: {channel: 2, banks: [L], mode: mono last, glide: 40 ms}
corrections: {K1: {offset: 3 mV, scale: 1.002}}
`

// TestCVAgainstTheMap recomputes every sample from the edges of the export, one
// by one: the volts lie within one step of what the map says, gates are at the
// nearest sample, and CVs stand before them.
func TestCVAgainstTheMap(t *testing.T) {
	p := planOf(t, cvWall, plan.Overrides{})
	rapid.Check(t, func(t *rapid.T) {
		var track []byte
		for range rapid.IntRange(1, 12).Draw(t, "events") {
			channel := byte(rapid.IntRange(0, 1).Draw(t, "channel"))
			key := byte(rapid.IntRange(36, 90).Draw(t, "key"))
			track = append(track, byte(rapid.IntRange(0, 60).Draw(t, "delta")))
			switch rapid.IntRange(0, 5).Draw(t, "kind") {
			case 0:
				track = append(track, 0xE0|channel, byte(rapid.IntRange(0, 127).Draw(t, "low")), byte(rapid.IntRange(0, 127).Draw(t, "high")))
			case 1:
				track = append(track, 0xBF, 74, key)
			case 2:
				track = append(track, 0x80|channel, key, 64)
			default:
				track = append(track, 0x90|channel, key, byte(rapid.IntRange(1, 127).Draw(t, "velocity")))
			}
		}
		song := songOf(t, append([]byte{0, 0x90, 60, 100}, track...)...)
		o := CVOptions{Rate: rapid.SampledFrom([]int{1000, 44100, 48000}).Draw(t, "rate"), Float: rapid.Bool().Draw(t, "float")}
		c, err := NewCV(p, song, o)
		require.NoError(t, err)
		s := hear(t, c)
		require.Equal(t, []any{len(c.Channels), o.Rate, uint32(0), o.Float}, []any{s.channels, s.rate, s.mask, s.float})
		_, edges, err := study.Export(p.Rules, p.Performance(song))
		require.NoError(t, err)
		for i := range c.Channels {
			ch := &c.Channels[i]
			name, input, _ := strings.Cut(ch.Name, ".")
			for v := range p.Rig.Voices {
				if p.Rig.Voices[v].Name == name {
					slowCV(t, p, v, input, edges[v], o, s.volts[i])
				}
			}
		}
	})
}

// slowCV holds the samples of a lane of a voice to its edges, sample by sample.
func slowCV(t require.TestingT, p *plan.Plan, voice int, input string, edges []timing.Edge, o CVOptions, got []float64) {
	f := &p.Rig.Interfaces[0]
	correction := &routing.Corrections(p.Rig)[voice]
	step := 10.0 / (1 << 23) // volts of a step of 24 bits; a float is finer at up to 10 V, or as fine
	first := true
	for n := range got {
		at := time.Duration(float64(n) / float64(o.Rate) * float64(time.Second))
		half := time.Duration(float64(time.Second) / float64(o.Rate) / 2)
		want, known := 0.0, input == "gate"
		was, now, began, glide := 0.0, 0.0, time.Duration(0), time.Duration(0)
		loose := 0.0 // volts by which the place may be off where a glide takes over from another
		for i := range edges {
			e := &edges[i]
			switch {
			case input == "gate" && e.Kind == timing.GateHigh && e.At <= at+half:
				want = 8
			case input == "gate" && e.Kind == timing.GateLow && e.At <= at+half:
				want = 0
			case input == "velocity" && e.Kind == timing.Pitch && e.Starts && e.At < at+2*half:
				want, known = 5*float64(e.Velocity)/127, true
			case input == "pitch" && e.Kind == timing.Pitch && (e.At < at+2*half || !known):
				if glide > 0 && e.At < began+glide+2*half {
					loose += math.Abs(now-was) / 12 * float64(4*half) / float64(glide)
				} else {
					loose = 0
				}
				if now == 0 {
					was = e.Value
				} else {
					was = along(was, now, began, glide, e.At)
				}
				now, began, glide, known = e.Value, e.At, e.Glide, true
				if first && i == 0 {
					was = e.Value
				}
			}
		}
		near := step
		if input == "pitch" {
			pitch := along(was, now, began, glide, at)
			want = float64(max(0, min(5, routing.CorrectedVolts(f, p.Rig.A4, correction, pitch))))
			if glide > 0 && at < began+glide+2*half { // where in a sample the glide begins is not told
				near += loose + math.Abs(now-was)/12*float64(4*half)/float64(glide)
			}
		}
		if !known {
			want = 0
		}
		if edgeNear(edges, at, half) { // both sides of a sample are right, where rounding decides
			continue
		}
		if !(math.Abs(want-10*got[n]) <= near) { // require is slow to find out, and there are millions
			require.InDelta(t, want, 10*got[n], near, "%s of voice %d at sample %d", input, voice, n)
		}
	}
}

func along(from, to float64, began, glide, at time.Duration) float64 {
	if glide <= 0 || at >= began+glide {
		return to
	}
	return from + (to-from)*max(0, float64(at-began)/float64(glide))
}

func edgeNear(edges []timing.Edge, at, half time.Duration) bool {
	for i := range edges {
		if d := edges[i].At - at; d > -3 && d < 3 || (edges[i].At-at-half).Abs() < 3 || (edges[i].At-at-2*half).Abs() < 3 {
			return true
		}
	}
	return false
}

// A gate at 0.5 s is sample 24 000 of 48 000 a second; the pitch of its note
// stands 1 ms, 48 samples, before it. C3 is one octave above 0 V at C2: 1 V, 0.1
// of a full scale of 10 V.
func TestCVByHand(t *testing.T) {
	rig := "rig: R\ninterfaces: {main: {profile: cv4-gate4, window: 0 V to 5 V, full_scale: 10 V, zero_key: 36}}\nbanks: {K: {voices: 1}}\nparts: {p: {}}\n"
	song := songOf(t, 0, 0x90, 60, 100, 0x81, 0x48, 0x80, 60, 0, 0x82, 0x2C, 0x90, 48, 64, 100, 0x80, 48, 0) // 200, 500, 600 ms
	c, err := NewCV(planOf(t, rig, plan.Overrides{}), song, CVOptions{})
	require.NoError(t, err)
	s := hear(t, c)
	require.Equal(t, []string{"K1.pitch", "K1.gate"}, []string{c.Channels[0].Name, c.Channels[1].Name})
	pitch, gate := s.volts[0], s.volts[1]
	step := 1. / (1 << 23)
	for _, x := range []struct {
		sample      int
		pitch, gate float64
	}{
		{0, .2, .5}, {9599, .2, .5}, {9600, .2, 0}, {23951, .2, 0}, {23952, .1, 0}, {23999, .1, 0}, {24000, .1, .5}, {28799, .1, .5}, {28800, .1, 0},
	} {
		require.InDelta(t, x.pitch, pitch[x.sample], step, x.sample)
		require.InDelta(t, x.gate, gate[x.sample], step, x.sample)
	}
	require.Len(t, pitch, 28801)
}

// Every lane is named, in the file and by nothing but what it is; the caution
// stands with it.
func TestCVNames(t *testing.T) {
	p := planOf(t, cvWall, plan.Overrides{})
	c, err := NewCV(p, songOf(t, 0, 0x90, 60, 100, 0, 0x91, 48, 100, 0, 0xBF, 74, 90, 100, 0x80, 60, 0), CVOptions{Float: true})
	require.NoError(t, err)
	s := hear(t, c)
	xml := string(s.chunks["iXML"])
	for i := range c.Channels {
		require.Contains(t, xml, fmt.Sprintf("<CHANNEL_INDEX>%d</CHANNEL_INDEX><INTERLEAVE_INDEX>%d</INTERLEAVE_INDEX><NAME>%s</NAME>", i+1, i+1, c.Channels[i].Name))
	}
	require.Contains(t, xml, "must never reach monitors")
	require.Contains(t, string(s.chunks["LIST"]), "must never reach monitors")
	require.Contains(t, c.Still, "K.cutoff")
	require.Contains(t, c.Still, "still")
	last := len(c.Channels) - 1
	require.Equal(t, "bite", c.Channels[last].Name)
	require.InDelta(t, 5*90./127/10, s.volts[last][200], 1e-6)
}

func TestCVRefuses(t *testing.T) {
	song := songOf(t, 0, 0x90, 60, 100, 100, 0x80, 60, 0)
	for _, c := range []struct{ rig, want string }{
		{"rig: R\nbanks: {K: {voices: 1}}\n", "the rig has no interface"},
		{"rig: R\ninterfaces: {main: {profile: cv4-gate4, gate: S-trig}}\nbanks: {K: {voices: 1}}\n", "the gate of K1 is a short to ground"},
		{"rig: R\ninterfaces: {main: {profile: cv4-gate4, gate: 8 V}}\nbanks: {K: {voices: 1}}\n", "K1.gate reaches 8.000 V, and a sample at full scale is 5 V"},
	} {
		_, err := NewCV(planOf(t, c.rig, plan.Overrides{}), song, CVOptions{})
		require.ErrorContains(t, err, c.want)
	}
	_, err := NewCV(planOf(t, cvWall, plan.Overrides{}), song, CVOptions{Rate: 999})
	require.ErrorContains(t, err, "found a rate of 999")
}

// Triggers are no longer than the interface makes them, and never reach into the
// next note.
func TestCVTriggers(t *testing.T) {
	rig := "rig: R\ninterfaces: {main: {profile: cv4-gate4, trigger: 10 ms}}\nbanks: {K: {voices: 1}}\nparts: {p: {}}\n"
	c, err := NewCV(planOf(t, rig, plan.Overrides{}), songOf(t, 0, 0x90, 60, 100, 100, 0x80, 60, 0), CVOptions{Rate: 1000})
	require.NoError(t, err)
	gate := hear(t, c).volts[1]
	require.Equal(t, []float64{1, 1, 0, 0}, []float64{math.Ceil(gate[0]), math.Ceil(gate[9]), gate[10], gate[99]})
}

// A gate that is low while a key is down rests at its volts, from the first sample on.
func TestCVGatesThatAreLow(t *testing.T) {
	rig := "rig: R\ninterfaces: {main: {profile: cv4-gate4, active: low}}\nvoices: {k: {jacks: {gate: {active: low}}}}\nbanks: {K: {voices: 1, kind: k}}\nparts: {p: {}}\n"
	c, err := NewCV(planOf(t, rig, plan.Overrides{}), songOf(t, 50, 0x90, 60, 100, 100, 0x80, 60, 0), CVOptions{Rate: 1000})
	require.NoError(t, err)
	gate := hear(t, c).volts[1]
	require.InDeltaSlice(t, []float64{1, 1, 0, 1}, []float64{gate[0], gate[20], gate[100], gate[len(gate)-1]}, 1e-6)
}

// large is a CV past 4 GiB: 64 lanes for minutes, of a song that is short.
func large(t testing.TB, frames int64) *CV {
	rig := "rig: R\ninterfaces: {main: {profile: cv32-gate32}}\nbanks: {K: {voices: 32}}\nparts: {p: {pick: round-robin}}\n"
	track := []byte{}
	for key := range byte(32) {
		track = append(track, 10, 0x90, 40+key, 100, 60, 0x80, 40+key, 0)
	}
	c, err := NewCV(planOf(t, rig, plan.Overrides{}), songOf(t, track...), CVOptions{Float: true})
	require.NoError(t, err)
	require.Len(t, c.Channels, 64)
	c.Frames = frames
	return c
}

// counting counts what is written and keeps the beginning.
type counting struct {
	head []byte
	n    int64
}

func (w *counting) Write(data []byte) (int, error) {
	if room := 200 - len(w.head); room > 0 {
		w.head = append(w.head, data[:min(room, len(data))]...)
	}
	w.n += int64(len(data))
	return len(data), nil
}

// TestRF64: past 4 GiB the file says its sizes in ds64 (EBU Tech 3306, ITU-R
// BS.2088): first, 32-bit sizes FFFFFFFFh. Its memory does not grow.
func TestRF64(t *testing.T) {
	const frames = 1<<32/256 + 100 // of 256 bytes
	c := large(t, frames)
	require.True(t, c.Large())
	require.False(t, large(t, 1000).Large())
	var w counting
	allocated := testing.AllocsPerRun(1, func() {
		w = counting{}
		require.NoError(t, c.Write(&w))
	})
	require.Less(t, allocated, 2000.0)
	require.Equal(t, c.Bytes(), w.n)
	require.Equal(t, "RF64\xFF\xFF\xFF\xFFWAVEds64\x1C\x00\x00\x00", string(w.head[:20]))
	require.Equal(t, uint64(w.n-8), binary.LittleEndian.Uint64(w.head[20:]))
	require.Equal(t, uint64(frames*256), binary.LittleEndian.Uint64(w.head[28:]))
	require.Equal(t, uint64(frames), binary.LittleEndian.Uint64(w.head[36:]))
	require.Equal(t, "fmt ", string(w.head[48:52]))
}

// TestCVReaders: sox and libsndfile read the demo's CVs with the rate, channels
// and samples that they have.
func TestCVReaders(t *testing.T) {
	corpora.Need(t, "let sox and sndfile-info read files")
	p, song := demo(t, plan.Overrides{})
	for _, float := range []bool{false, true} {
		c, err := NewCV(p, song, CVOptions{Rate: 8000, Float: float})
		require.NoError(t, err)
		path := filepath.Join(t.TempDir(), "cv.wav")
		f, err := os.Create(path)
		require.NoError(t, err)
		require.NoError(t, c.Write(f))
		require.NoError(t, f.Close())

		said, err := exec.Command("sndfile-info", path).CombinedOutput()
		require.NoError(t, err, string(said))
		for _, want := range []string{fmt.Sprintf("Sample Rate : %d", c.Rate), fmt.Sprintf("Frames      : %d", c.Frames), fmt.Sprintf("Channels    : %d", len(c.Channels))} {
			require.Contains(t, string(said), want)
		}
		raw, err := exec.Command("sox", path, "-t", "raw", "-e", "floating-point", "-b", "32", "-L", "-").Output()
		require.NoError(t, err)
		require.Len(t, raw, int(c.Frames)*4*len(c.Channels))
		own := hear(t, c)
		for i := 0; i < len(raw)/4; i += 97 {
			v := float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:])))
			require.InDelta(t, own.volts[i%len(c.Channels)][i/len(c.Channels)], v, 1./(1<<23))
		}
	}
}

// BenchmarkCV writes 64 channels at 48 kHz, and tells how many times as fast as
// they play: 50 are asked for.
func BenchmarkCV(b *testing.B) {
	for _, float := range []bool{true, false} {
		for _, busy := range []bool{false, true} {
			b.Run(fmt.Sprintf("float=%v,busy=%v", float, busy), func(b *testing.B) {
				c := large(b, 48_000*60)
				c.Float = float
				if busy { // a glide on every pitch, all the time
					for i := range c.Channels {
						if c.Channels[i].Input == "pitch" {
							m := &c.Channels[i].moves[0]
							m.glide = &cvGlide{from: 40, to: 60, lasts: 48_000 * 60, volts: func(pitch float64) profiles.Volts {
								return routing.VoltsAt(&c.Plan.Rig.Interfaces[0], 440, pitch)
							}}
							c.Channels[i].moves = c.Channels[i].moves[:1]
						}
					}
				}
				for b.Loop() {
					if err := c.Write(io.Discard); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(60*float64(b.N)/b.Elapsed().Seconds(), "times-real-time")
			})
		}
	}
}
