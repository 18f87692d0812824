package alloc_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/midi"
)

// What is due next, by hand, of two voices that fade by 60 dB in 600 and in 400 ms and
// gates of 50 ms at least: first the minimum gate of a key that was let go after 10 ms,
// then the end of the tail that ends sooner, then of the other, then nothing.
func TestNext(t *testing.T) {
	at := func(ms int) time.Duration { return time.Duration(ms) * time.Millisecond }
	cfg := alloc.Config{FreeDB: -60, MinGate: at(50)}
	for i, release := range []int{600, 400} {
		cfg.Voices = append(cfg.Voices, alloc.Voice{Bank: i, Envelope: alloc.Envelope{Sustain: 1, Release: at(release)}})
		cfg.Parts = append(cfg.Parts, alloc.Part{Banks: []int{i}, Sources: []alloc.Source{{AnyPort: true, Channels: 1 << i}},
			Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}})
	}
	e, err := alloc.New(cfg)
	require.NoError(t, err)
	next := func(ms int) {
		t.Helper()
		due, ok := e.Next()
		require.Equal(t, ms >= 0, ok)
		if ok {
			require.Equal(t, at(ms), due)
		}
	}
	emit := func(*alloc.Decision) {}
	step := func(ms int, kind midi.StepKind, channel midi.Channel) {
		e.Feed(&midi.Step{At: at(ms), Kind: kind, Channel: channel, Key: 60, Value: 64}, emit)
	}
	next(-1)
	step(0, midi.StepNoteOn, 0)
	next(-1)
	step(10, midi.StepNoteOff, 0)
	next(50)
	e.Advance(at(50), emit)
	next(650)
	require.Equal(t, []alloc.State{alloc.Tail, alloc.Free}, []alloc.State{e.State(0), e.State(1)})
	step(100, midi.StepNoteOn, 1)
	step(200, midi.StepNoteOff, 1)
	next(600)
	e.Advance(at(600), emit)
	require.Equal(t, []alloc.State{alloc.Tail, alloc.Free}, []alloc.State{e.State(0), e.State(1)})
	next(650)
	e.Advance(at(649), emit)
	require.Equal(t, alloc.Tail, e.State(0))
	e.Advance(at(650), emit)
	require.Equal(t, alloc.Free, e.State(0))
	next(-1)
}
