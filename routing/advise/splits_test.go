package advise

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/plan"
)

// TestSplitOverWindows: a part of low and of high notes on two banks of which one plays up from key 36
// (0 V) for five octaves, and the other, on an interface whose 0 V is key 60, for two: each note has a bank that can
// play it, but the part gives it to any. Its keys split over the banks leave no wrong pitch, and no octave
// moves. By hand: of low notes at 38 to 58 those on L are wrong, of high ones at 97 to 103 those on K.
func TestSplitOverWindows(t *testing.T) {
	const rig = `rig: Two
interfaces:
  low: {profile: cv16-gate16, cv: 4, gates: 4, window: 0 V to 5 V, zero_key: 36}
  high: {profile: cv16-gate16, cv: 8, gates: 8, window: 0 V to 5 V, zero_key: 60}
voices: {plain: {release: 50 ms}}
banks: {K: {voices: 4, kind: plain}, L: {voices: 4, kind: plain}}
parts: {one: {channel: 1, pick: round-robin}}
`
	var notes []note
	for i := range 24 {
		notes = append(notes, note{1, []int{38, 58, 97, 103}[i%4], 400 * i, 400*i + 300})
	}
	s := session(t, rig, songOf(t, notes))
	a := find(t, Options{Work: plenty}, s)
	require.Equal(t, 12, a.Now.Wrong)
	require.NotEmpty(t, a.Fixes)
	first := &a.Fixes[0]
	require.Equal(t, "--banks K/60/L", flagsOf(first))
	require.Equal(t, []any{Setting, 0, 0, 3, 0}, []any{first.Effort, first.Wrong, first.Moved, first.Lines, len(first.Prices)})
	sound(t, a, s)
}

// TestSplitKeepsTheBass: chords over a bass that is held take its voice, as the newest note; with
// the keys split over the two banks nothing is lost, and no bank is too small.
func TestSplitKeepsTheBass(t *testing.T) {
	var notes []note
	for i := range 6 {
		notes = append(notes, note{1, 30 + i, 2000 * i, 2000*i + 1900}, note{1, 42 + i, 2000 * i, 2000*i + 1900})
		for k := range 4 { // of four keys each, every half second
			notes = append(notes, chords(1, 1, 4, 60+k, 0, 480)...)
			for n := len(notes) - 4; n < len(notes); n++ {
				notes[n].on, notes[n].off = notes[n].on+2000*i+500*k+1, notes[n].off+2000*i+500*k-10
			}
		}
	}
	rig := rigText(2, 4, "100 ms", "  one: {channel: 1, banks: [K], steal: oldest, pick: bank-fill}\n")
	s := session(t, rig, songOf(t, notes))
	a := find(t, Options{Work: plenty, Kinds: []string{banksFlag}}, s)
	require.Positive(t, a.Now.Cut)
	sound(t, a, s)
	split := figures(t, s, plan.MustParse("--banks", "one=K/60/L"))
	require.Zero(t, split.Cut+split.Dropped)
}
