package midi

import (
	"bytes"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/smf"
)

// benchmarkNotes is the number of notes in the file that the benchmarks read.
const benchmarkNotes = 100_000

// BenchmarkRead reads one file with our reader and with gomidi v2.3.24.
// Wanted: 20 times as fast, and at most 32 bytes allocated an event.
func BenchmarkRead(b *testing.B) {
	data := bigFile(benchmarkNotes)
	song, err := Read(data, Options{})
	require.NoError(b, err)
	require.Empty(b, song.Warnings.List)
	require.Equal(b, benchmarkNotes, song.NoteOns)
	events := len(song.Events)
	b.Run("ours", func(b *testing.B) {
		measure(b, events, func() error {
			_, err := Read(data, Options{})
			return err
		})
	})
	b.Run("gomidi", func(b *testing.B) {
		measure(b, events, func() error {
			_, err := smf.ReadFrom(bytes.NewReader(data))
			return err
		})
	})
}

func BenchmarkSteps(b *testing.B) {
	song, err := Read(bigFile(benchmarkNotes), Options{})
	require.NoError(b, err)
	for name, order := range map[string]Order{"filed": {}, "outer": {Chord: ChordOuter}} {
		b.Run(name, func(b *testing.B) {
			measure(b, len(song.Events), func() error {
				song.Steps(order)
				return nil
			})
		})
	}
}

// measure runs a function that deals with a number of events, and reports its
// time and allocated memory for each of them.
func measure(b *testing.B, events int, run func() error) {
	b.ReportAllocs()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for b.Loop() {
		if err := run(); err != nil {
			b.Fatal(err)
		}
	}
	runtime.ReadMemStats(&after)
	n := float64(b.N) * float64(events)
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/n, "ns/event")
	b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/n, "B/event")
}

// bigFile makes a file of format 1 with eight tracks of notes, partly in
// running status, a tempo change now and then, controllers and bends: always
// the same one.
func bigFile(notes int) []byte {
	const tracks = 8
	rng := rand.New(rand.NewPCG(1, 2))
	conductor := trackBytes{}
	for range 64 {
		conductor.event(1920, 0xFF, 0x51, 3, 7, byte(rng.IntN(256)), byte(rng.IntN(256)))
	}
	chunks := [][]byte{conductor.chunk()}
	for channel := range tracks {
		count := notes / tracks
		if channel < notes%tracks {
			count++
		}
		chunks = append(chunks, noteTrack(rng, uint8(channel), count))
	}
	data := append([]byte("MThd\x00\x00\x00\x06\x00\x01"), word(len(chunks))+word(480)...)
	for _, c := range chunks {
		data = append(data, c...)
	}
	return data
}

func noteTrack(rng *rand.Rand, channel uint8, notes int) []byte {
	var t trackBytes
	for i := range notes {
		key := byte(36 + rng.IntN(48))
		t.message(rng.IntN(200), 0x90|channel, key, byte(1+rng.IntN(127)))
		if i%8 == 0 {
			t.message(rng.IntN(30), 0xB0|channel, 64, byte(127*(i/8%2)))
		}
		if i%16 == 5 {
			t.message(rng.IntN(30), 0xE0|channel, byte(rng.IntN(128)), byte(rng.IntN(128)))
		}
		if rng.IntN(3) > 0 { // two of three writers end notes in running status
			t.message(rng.IntN(200), 0x90|channel, key, 0)
		} else {
			t.message(rng.IntN(200), 0x80|channel, key, 64)
		}
	}
	return t.chunk()
}

// trackBytes writes the events of a track, with running status.
type trackBytes struct {
	body    []byte
	running byte
}

func (t *trackBytes) delta(ticks int) {
	for shift := 21; shift > 0; shift -= 7 {
		if ticks>>shift > 0 {
			t.body = append(t.body, 0x80|byte(ticks>>shift&0x7F))
		}
	}
	t.body = append(t.body, byte(ticks&0x7F))
}

// event writes a meta event or sysex.
func (t *trackBytes) event(ticks int, bytes ...byte) {
	t.delta(ticks)
	t.body, t.running = append(t.body, bytes...), 0
}

func (t *trackBytes) message(ticks int, status byte, data ...byte) {
	t.delta(ticks)
	if status != t.running {
		t.body, t.running = append(t.body, status), status
	}
	t.body = append(t.body, data...)
}

// chunk ends the track and returns it with its header.
func (t *trackBytes) chunk() []byte {
	t.event(0, 0xFF, 0x2F, 0)
	head := "MTrk" + word(len(t.body)>>16) + word(len(t.body))
	return append([]byte(head), t.body...)
}
