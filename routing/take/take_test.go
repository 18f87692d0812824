package take

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

func planOf(t testing.TB, rig string) *plan.Plan {
	t.Helper()
	r, faults := profiles.Read("test.yaml", []byte(rig), nil)
	require.Empty(t, faults)
	p, err := plan.Build(r, plan.Overrides{})
	require.NoError(t, err)
	return p
}

// written is a take as its file has it.
func written(t testing.TB, made *Take) *midi.Song {
	t.Helper()
	score, err := made.Score()
	require.NoError(t, err)
	data, err := score.Bytes()
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	return song
}

const wall = `rig: Wall
interfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}
banks: {K: {voices: 3}}
`

// TestTakeOfTheDemo: at most 12 s a voice; every voice parks on a key of its own, which is
// no octave of a reading key; no two pauses of a roll call and no two slots are alike.
func TestTakeOfTheDemo(t *testing.T) {
	rig, err := profiles.Load(filepath.Join("..", "..", "testdata", "kiln-yard.yaml"))
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	made, err := New(p, Options{})
	require.NoError(t, err)
	require.Len(t, made.Parts, 19) // of 20, P2 is out
	require.Less(t, made.Length, 19*12*time.Second)
	parked, slots, pauses := map[midi.Key]bool{}, map[time.Duration]bool{}, map[time.Duration]bool{}
	for i, part := range made.Parts {
		require.False(t, parked[part.Parking])
		require.False(t, slots[part.To-part.From])
		parked[part.Parking], slots[part.To-part.From] = true, true
		for _, n := range part.Notes {
			if n.Kind == Reading {
				require.Zero(t, n.Key%12)
			}
		}
		require.NotZero(t, part.Parking%12)
		if i > 0 {
			pause := part.Notes[0].At - made.Parts[i-1].Notes[0].End()
			require.False(t, pauses[pause])
			pauses[pause] = true
		}
	}
	back, err := Read(p, written(t, made))
	require.NoError(t, err)
	require.Equal(t, made.Parts, back.Parts)
}

// TestTakeByHand: what one voice of three plays, by the sums in the package comment. The
// window of 5 V from key 36 on has keys 36 to 96.
func TestTakeByHand(t *testing.T) {
	p := planOf(t, wall+"parts: {p: {unison: {voices: 2, spread: 4 cents}}}\ncorrections: {K2: {offset: 5 mV}}\n")
	made, err := New(p, Options{Only: []int{1}, Through: true})
	require.NoError(t, err)
	var keys, longs []int
	var bends []float64
	for _, n := range made.Parts[0].Notes {
		keys, longs, bends = append(keys, int(n.Key)), append(longs, int(n.Long.Milliseconds())), append(bends, n.Bend)
	}
	park := int(made.Parts[0].Parking)
	require.Equal(t, []int{park, 96, 36, 48, 60, 72, 84, 60, 60, 60, 60, park, park}, keys)
	require.Equal(t, []int{200, 500, 900, 500, 500, 500, 500, 5, 20, 500, 500, 400, 200}, longs)
	require.Equal(t, []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 2, -2, 0, 0}, bends)
	back, err := Read(p, written(t, made))
	require.NoError(t, err)
	require.Equal(t, made.Parts, back.Parts)
	require.True(t, back.Through)

	short, err := New(p, Options{Short: true})
	require.NoError(t, err)
	require.Len(t, short.Parts, 3)
	require.Len(t, short.Parts[0].Notes, 6) // two calls, three keys, the fade
	keyed, err := New(p, Options{Keys: []midi.Key{50, 127, 43}})
	require.NoError(t, err)
	require.Equal(t, []midi.Key{50, 43}, []midi.Key{keyed.Parts[0].Notes[1].Key, keyed.Parts[0].Notes[2].Key})
}

// TestTakeBendsNothing: without --through no correction is in the file, and no bend but
// the full ones: 8192 is the centre (MIDI 1.0, "Pitch Bend Change").
func TestTakeBendsNothing(t *testing.T) {
	p := planOf(t, wall+"corrections: {K2: {offset: 5 mV}}\n")
	for through, want := range map[bool]int{false: 0, true: 1} {
		made, err := New(p, Options{Only: []int{1}, Short: true, Through: through})
		require.NoError(t, err)
		bent := map[int]bool{}
		for _, e := range written(t, made).Events {
			if v := int(e.Data2)<<7 | int(e.Data1); e.Kind() == midi.PitchBend && v != 8192 {
				bent[v] = true
			}
		}
		require.Len(t, bent, want)
	}
}

func TestTakeRefuses(t *testing.T) {
	p := planOf(t, wall)
	made, err := New(p, Options{})
	require.NoError(t, err)
	song := written(t, made)
	_, err = Read(planOf(t, "rig: Wall\ninterfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}\nbanks: {K: {voices: 4}}\n"), song)
	require.ErrorContains(t, err, "another rig, or for other cables: K4 pitch main.cv 4 port 1 channel 4 gate main.gate 4 port 1 channel 4 is new")
	_, err = Read(planOf(t, wall+"pins: {K2.pitch: main.cv 9}\n"), song)
	require.ErrorContains(t, err, "in the take K2 pitch main.cv 2 port 1 channel 2 gate main.gate 2 port 1 channel 2, now K2 pitch main.cv 9 port")
	_, err = Read(planOf(t, strings.Replace(wall, "Wall", "Hall", 1)), song)
	require.ErrorContains(t, err, "in the take rig Wall, now rig Hall")
	_, err = Read(planOf(t, wall+"corrections: {K1: {offset: 1 mV}}\n"), song) // what is measured is no other rig
	require.NoError(t, err)

	changed := *song
	changed.Events = changed.Events[:len(changed.Events)-4]
	_, err = Read(p, &changed)
	require.ErrorContains(t, err, "has been changed")
	changed.Tracks = nil
	_, err = Read(p, &changed)
	require.ErrorContains(t, err, "no take")
	_, err = New(p, Options{Only: []int{7}})
	require.ErrorContains(t, err, "no voice of the take is in service")
	_, err = New(p, Options{Keys: []midi.Key{3}})
	require.ErrorContains(t, err, "none of the keys is in range of K1, which has 36 to 96")
}

// TestTakeStartsNobodyEarly: what was measured before changes no note of a take, by which
// it is measured again.
func TestTakeStartsNobodyEarly(t *testing.T) {
	p := planOf(t, wall+"measured: {K2: {latency: 8 ms, min_gate: 20 ms}}\n")
	for _, through := range []bool{false, true} {
		made, err := New(p, Options{Through: through})
		require.NoError(t, err)
		back, err := Read(p, written(t, made))
		require.NoError(t, err)
		require.Equal(t, made.Parts, back.Parts)
	}
}
