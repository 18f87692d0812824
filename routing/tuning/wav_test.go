package tuning

import (
	"bytes"
	"encoding/binary"
	"io/fs"
	"math"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// wav writes a sound file field by field as RFC 2361 and MS-RDPEAI 2.2.2.3.1
// have it.
type wav struct {
	tag, channels, rate, bits int
	extensible                bool
	before                    string // chunks between RIFF and format
	data                      []byte
	size                      int // of the data, where it is not their length
}

func (w wav) bytes() []byte {
	var f bytes.Buffer
	put := func(v any) { _ = binary.Write(&f, binary.LittleEndian, v) }
	f.WriteString("RIFF\x00\x00\x00\x00WAVE" + w.before + "fmt ")
	block := w.channels * w.bits / 8
	tag, size := w.tag, 16
	if w.extensible {
		tag, size = formatExtensible, 40
	}
	put(uint32(size))
	put([]uint16{uint16(tag), uint16(w.channels)})
	put([]uint32{uint32(w.rate), uint32(w.rate * block)})
	put([]uint16{uint16(block), uint16(w.bits)})
	if w.extensible {
		put([]uint16{22, uint16(w.bits)})
		put(uint32(0))
		put(uint16(w.tag))
		f.WriteString("\x00\x00\x00\x00\x10\x00\x80\x00\x00\xAA\x00\x38\x9B\x71")
	}
	if w.size == 0 {
		w.size = len(w.data)
	}
	f.WriteString("data")
	put(uint32(w.size))
	f.Write(w.data)
	return f.Bytes()
}

func TestDecode(t *testing.T) {
	float := binary.LittleEndian.AppendUint32(nil, math.Float32bits(0.5))
	for _, c := range []struct {
		name string
		wav  wav
		want []float64
	}{
		{"16 bits", wav{tag: 1, channels: 1, rate: 48000, bits: 16, data: []byte{0, 0x40, 0, 0x80}}, []float64{0.5, -1}},
		{"24 bits", wav{tag: 1, channels: 1, rate: 48000, bits: 24, data: []byte{0, 0, 0x40, 0xFF, 0xFF, 0xFF}}, []float64{0.5, -1. / (1 << 23)}},
		{"32 bits", wav{tag: 1, channels: 1, rate: 96000, bits: 32, data: []byte{0, 0, 0, 0x40, 0, 0, 0, 0x80}}, []float64{0.5, -1}},
		{"floats", wav{tag: 3, channels: 1, rate: 44100, bits: 32, data: float}, []float64{0.5}},
		{"extensible", wav{tag: 3, channels: 1, rate: 44100, bits: 32, extensible: true, data: float}, []float64{0.5}},
		{"extensible, 24 bits", wav{tag: 1, channels: 1, rate: 44100, bits: 24, extensible: true, data: []byte{0, 0, 0x40}}, []float64{0.5}},
		{"the loudest channel", wav{tag: 1, channels: 2, rate: 48000, bits: 16, data: []byte{0, 0, 0, 0x40, 1, 0, 0, 0xC0}}, []float64{0.5, -0.5}},
		{"chunks before", wav{tag: 1, channels: 1, rate: 48000, bits: 16, before: "LIST\x03\x00\x00\x00abc\x00", data: []byte{0, 0x40}}, []float64{0.5}},
		{"a part of a frame", wav{tag: 1, channels: 1, rate: 48000, bits: 16, data: []byte{0, 0x40, 7}}, []float64{0.5}},
		{"a size never filled in", wav{tag: 1, channels: 1, rate: 48000, bits: 16, data: []byte{0, 0x40}, size: math.MaxUint32}, []float64{0.5}},
		{"no number", wav{tag: 3, channels: 1, rate: 48000, bits: 32, data: []byte{0, 0, 0xC0, 0x7F, 0, 0, 0, 0x3F}}, []float64{0, 0.5}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := Decode(bytes.NewReader(c.wav.bytes()))
			require.NoError(t, err)
			require.Equal(t, c.want, r.Samples)
			require.Equal(t, c.wav.rate, r.Rate)
		})
	}
}

func TestDecodeRefuses(t *testing.T) {
	good := wav{tag: 1, channels: 1, rate: 48000, bits: 16, data: []byte{0, 0x40}}
	with := func(change func(*wav)) []byte {
		w := good
		change(&w)
		return w.bytes()
	}
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"nothing", nil, "byte 0: the file ends"},
		{"a song", []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01"), "byte 0: not a WAV file: begins with 4D 54 68 64, expected RIFF, its size and WAVE"},
		{"cut in the format", good.bytes()[:30], "byte 30: the file ends"},
		{"no chunk", good.bytes()[:12], "byte 12: the file ends before any sound"},
		{"sound first", []byte("RIFF\x00\x00\x00\x00WAVEdata\x02\x00\x00\x00\x00\x00"), "byte 20: sound before its format"},
		{"8 bits", with(func(w *wav) { w.bits = 8 }), "byte 20: samples of format 0001h and 8 bits, want PCM of 16, 24 or 32 bits or floats of 32"},
		{"compressed", with(func(w *wav) { w.tag = 0x55 }), "byte 20: samples of format 0055h and 16 bits, want PCM of 16, 24 or 32 bits or floats of 32"},
		{"no channel", with(func(w *wav) { w.channels = 0 }), "byte 20: 0 channels, want 1 to 64"},
		{"65 channels", with(func(w *wav) { w.channels = 65 }), "byte 20: 65 channels, want 1 to 64"},
		{"a low rate", with(func(w *wav) { w.rate = 3999 }), "byte 20: 3999 frames a second, want 4000 to 768000"},
		{"no sound", with(func(w *wav) { w.data = nil }), "byte 44: no sound"},
		{"a chunk past the end", []byte("RIFF\x00\x00\x00\x00WAVELIST\xFF\xFF\xFF\xFFab"), "byte 22: the file ends"},
		{"nothing but chunks", []byte("RIFF\x00\x00\x00\x00WAVE" + strings.Repeat("junk\x00\x00\x00\x00", 2000)), "byte 8012: more than 1000 chunks and no sound"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Decode(bytes.NewReader(c.data))
			require.EqualError(t, err, c.want)
		})
	}
}

// A file that claims 4 GiB costs what it holds, and no more.
func TestHostileSoundIsCheap(t *testing.T) {
	data := wav{tag: 1, channels: 64, rate: 768000, bits: 32, data: make([]byte, 256*64), size: math.MaxUint32 - 1}.bytes()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := Decode(bytes.NewReader(data))
	runtime.ReadMemStats(&after)
	require.NoError(t, err)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(16*len(data)))
}

func FuzzDecode(f *testing.F) {
	f.Add(wav{tag: 1, channels: 2, rate: 48000, bits: 24, data: make([]byte, 60)}.bytes())
	f.Add(wav{tag: 3, channels: 1, rate: 44100, bits: 32, extensible: true, data: make([]byte, 64)}.bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Decode(bytes.NewReader(data))
		if err != nil {
			return
		}
		require.NotEmpty(t, r.Samples)
		require.LessOrEqual(t, len(r.Samples), len(data)/2)
		for _, s := range r.Samples {
			require.False(t, math.IsNaN(s) || math.IsInf(s, 0))
		}
		if _, err := PitchOf(r); err != nil {
			require.ErrorContains(t, err, "no steady tone")
		}
	})
}

// sound writes a recording as a file of 24 bits.
func (r *Recording) sound() []byte {
	var data []byte
	for _, s := range r.Samples {
		v := int32(math.Round(s * (1<<23 - 1)))
		data = append(data, byte(v), byte(v>>8), byte(v>>16))
	}
	return wav{tag: 1, channels: 1, rate: r.Rate, bits: 24, data: data}.bytes()
}

func TestListen(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: R\ninterfaces: {main: {profile: cv16-gate16, zero_key: 24}}\nbanks: {K: {voices: 2}}\n"), nil)
	require.Empty(t, faults)
	file := func(data []byte) *fstest.MapFile { return &fstest.MapFile{Data: data} }
	note := func(hertz float64) *fstest.MapFile { return file(tone{hertz: hertz, seconds: 0.5}.record().sound()) }
	heard, err := Listen(fstest.MapFS{
		"K1_60.wav":            note(261.63),
		"K1_C5_2026-11-02.WAV": note(523.25),
		"K2_2.5V.wav":          note(185),
		"K2_250mV.wav":         note(80),
		"K3_60.wav":            note(261.63),
		"notes.txt":            file(nil),
		"hello.wav":            file(nil),
		"K1_61.wav":            file([]byte("RIFF")),
		"K1_62.wav":            file(tone{hertz: 220, seconds: 0.2}.record().sound()),
		"K1_130.wav":           file(nil),
		"K2_60.wav":            {Mode: fs.ModeNamedPipe | 0o600},
	}, rig)
	require.NoError(t, err)
	said := map[string]string{}
	got := map[string]Reading{}
	for _, h := range heard {
		if h.Err != nil {
			said[h.File] = h.Err.Error()
			continue
		}
		got[h.File] = h.Reading
	}
	require.Equal(t, map[string]string{
		"K3_60.wav":  `its name: found the voice "K3", want K1 to K2, or a number from 1 to 2`,
		"hello.wav":  "its name says no voice and key, want a name such as K1_60.wav, K1_C4_2026-11-02.wav or K1_2.5V.wav",
		"K2_60.wav":  "this is not a file but a FIFO, a device or a folder by another name, so it is left out",
		"K1_61.wav":  "byte 4: the file ends",
		"K1_62.wav":  "no steady tone: it sounds for 0.10 s without its ends, want 0.25 s at least",
		"K1_130.wav": `its name: key "130" is outside 0–127 (C-1 to G9)`,
	}, said)
	require.Len(t, got, 4)
	require.Len(t, Readings(heard), 4)
	require.Equal(t, []any{0, profiles.Volts(3), true, ""}, []any{got["K1_60.wav"].Voice, got["K1_60.wav"].Volts, got["K1_60.wav"].Keyed, got["K1_60.wav"].Date})
	require.Equal(t, "2026-11-02", got["K1_C5_2026-11-02.WAV"].Date)
	require.Equal(t, []any{1, profiles.Volts(2.5), false}, []any{got["K2_2.5V.wav"].Voice, got["K2_2.5V.wav"].Volts, got["K2_2.5V.wav"].Keyed})
	require.Equal(t, profiles.Volts(0.25), got["K2_250mV.wav"].Volts)
	require.InDelta(t, 261.63, float64(got["K1_60.wav"].Hertz), 0.01)

	_, err = Listen(fstest.MapFS{"notes.txt": file(nil)}, rig)
	require.EqualError(t, err, "no recording in the folder, want files such as K1_60.wav")
}
