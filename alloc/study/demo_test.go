package study_test

import (
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// The figures of the demo song are those that the tests of cmd/demosong work out
// from the file without the engine. Here the engine and the studies find them.

// demo returns the demo song.
func demo(t *testing.T) study.Performance {
	t.Helper()
	data, err := os.ReadFile("../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	require.Empty(t, song.Warnings.List)
	return study.Performance{Steps: song.Steps(midi.Order{}), End: song.Duration()}
}

// playDemo plays it on as many voices with this release.
func playDemo(t *testing.T, voices int, release time.Duration, sameKey alloc.SameKey) *study.Replay {
	t.Helper()
	r, err := study.Play(rig(voices, release, func(r *study.Rules) { r.Config.Parts[0].SameKey = sameKey }), demo(t))
	require.NoError(t, err)
	require.Equal(t, 328, r.Rig.Tally.Notes)
	return r
}

func TestDemoDemand(t *testing.T) {
	for _, c := range []struct {
		release time.Duration // to −60 dB
		audible int           // to −40 dB
	}{
		{1200 * ms, 19}, {1800 * ms, 21}, {2400 * ms, 24}, {3600 * ms, 30},
	} {
		demand := playDemo(t, 20, c.release, alloc.RetriggerCounted).Rig.Demand
		require.Equal(t, study.Demand{Held: 13, Pedal: 13, Audible: c.audible}, demand, "release %v", c.release)
	}
}

func TestDemoBounds(t *testing.T) {
	for _, c := range []struct {
		voices int
		want   study.Bound
	}{
		{13, study.Bound{}}, // the held peak is 13
		{12, study.Bound{FewestDamaged: 2, Unavoidable: 120 * ms}},
		{10, study.Bound{FewestDamaged: 11, Unavoidable: 1020 * ms}},
		{8, study.Bound{FewestDamaged: 24, Unavoidable: 2700 * ms}},
	} {
		bound := playDemo(t, c.voices, 2400*ms, alloc.RetriggerCounted).Rig.Bound
		// 72 bpm are 833 333⅓ µs a quarter, of which a MIDI file keeps the whole ones.
		bound.Unavoidable = bound.Unavoidable.Round(10 * time.Microsecond)
		require.Equal(t, c.want, bound, "%d voices", c.voices)
	}
}

// Under first-off the pad's common tones die at the offs of the notes before
// them.
func TestDemoSwallowedNotes(t *testing.T) {
	require.Equal(t, 20, playDemo(t, 20, 2400*ms, alloc.RetriggerFirstOff).Rig.Tally.Swallowed)
	require.Zero(t, playDemo(t, 20, 2400*ms, alloc.RetriggerCounted).Rig.Tally.Swallowed)
}
