package alloc_test

import (
	"slices"
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
	require.Equal(t, alloc.Held, e.State(0))
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
	step(650, midi.StepNoteOff, 1) // what the other part hears
	require.Equal(t, alloc.Free, e.State(0))
	e.Advance(at(650), emit)
	require.Equal(t, alloc.Free, e.State(0))
	next(-1)
}

// A data byte has seven bits (MIDI 1.0 Detailed Specification, from memory): of a key the eighth
// is nothing, when it goes down as when it goes up.
func TestKeysOfSevenBits(t *testing.T) {
	cfg := alloc.Config{FreeDB: -60, Voices: make([]alloc.Voice, 1), Parts: []alloc.Part{{Banks: []int{0},
		Sources: []alloc.Source{{AnyPort: true, Channels: 1}}, Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}}}}
	for _, high := range [][2]midi.Key{{0, 128}, {128, 0}, {128, 128}} {
		e, err := alloc.New(cfg)
		require.NoError(t, err)
		var keys []int16
		say := func(d *alloc.Decision) { keys = append(keys, d.Key) }
		e.Feed(&midi.Step{Kind: midi.StepNoteOn, Key: 60 + high[0], Value: 64}, say)
		require.Equal(t, alloc.Held, e.State(0))
		e.Feed(&midi.Step{At: time.Second, Kind: midi.StepNoteOff, Key: 60 + high[1]}, say)
		require.Equal(t, alloc.Free, e.State(0))
		require.Equal(t, []int16{60, 60}, keys)
	}
}

// A song that goes on and on takes no more memory, whatever the rules, but where a unison
// takes all the voices of another note at once: chords of five keys on four voices.
func TestMemoryDoesNotGrow(t *testing.T) {
	bar := time.Second
	var steps []midi.Step
	for i, key := range []midi.Key{60, 64, 67, 71, 60} {
		at := time.Duration(i) * bar / 10
		steps = append(steps, midi.Step{At: at, Kind: midi.StepNoteOn, Key: key, Value: 64},
			midi.Step{At: at + bar/2, Kind: midi.StepNoteOff, Key: key})
	}
	steps = append(steps, midi.Step{At: bar / 4, Kind: midi.StepSustain, Value: 127}, midi.Step{At: 3 * bar / 4, Kind: midi.StepSustain},
		midi.Step{At: bar / 3, Kind: midi.StepBend, Value: 9000}, midi.Step{At: 2 * bar / 3, Kind: midi.StepChannelPressure, Value: 9})
	slices.SortStableFunc(steps, func(a, b midi.Step) int { return int(a.At - b.At) })
	emit := func(*alloc.Decision) {}
	for _, when := range []alloc.WhenShort{alloc.Elastic, alloc.Wait} {
		for steal := range alloc.StealNames() {
			for voices := range 3 {
				cfg := smallRig(4, alloc.PickLongestIdle, alloc.StealRule(steal), alloc.SameKey(steal%4), steal%2 == 0)
				cfg.Parts[0].Unison = alloc.Unison{Voices: voices, WhenShort: when, Regrow: true}
				e, err := alloc.New(cfg)
				require.NoError(t, err)
				e.Foresee(alloc.Future{Ends: make([]time.Duration, 1000), Worth: make([]int64, 1000)})
				song := func() {
					for i := range steps {
						e.Feed(&steps[i], emit)
						steps[i].At += bar
					}
				}
				for range 4 {
					song()
				}
				require.Zero(t, testing.AllocsPerRun(2, song), "%d voices a note, %v, %v", voices, when, cfg.Parts[0].Steal)
			}
		}
	}
}
