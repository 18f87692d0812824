package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing"
)

// TestZonesOfKeys: holes and overlaps of parts on one channel, on both sides of where
// they begin; a layer of equal keys, other channels and other velocities say nothing.
func TestZonesOfKeys(t *testing.T) {
	for _, row := range []struct {
		name, parts string
		want        []string // codes and texts
		value       float64  // of the first
	}{
		{"they meet", "{a: {channel: 1, keys: 36-59}, b: {channel: 1, keys: 60-96}}", nil, 0},
		{"a key between", "{a: {channel: 1, keys: 36-59}, b: {channel: 1, keys: 61-96}}",
			[]string{"keys-unplayed: no part plays key C4 (60) on channel 1, between parts a and b"}, 1},
		{"several, in any order", "{b: {channel: 1, keys: 72-96}, a: {channel: 1, keys: 36-59}}",
			[]string{"keys-unplayed: no part plays keys C4-B4 (60-71) on channel 1, between parts a and b"}, 12},
		{"one key of both", "{a: {channel: 1, keys: 36-60}, b: {channel: 1, keys: 60-96}}",
			[]string{"keys-overlap: key C4 (60) plays on part a and on part b"}, 1},
		{"one within the other", "{a: {channel: 1}, b: {channel: 1, keys: 60-61}}",
			[]string{"keys-overlap: keys C4-C#4 (60-61) play on part a and on part b"}, 2},
		{"a layer", "{a: {channel: 1, keys: 36-60}, b: {channel: 1, keys: 36-60}}", nil, 0},
		{"two channels", "{a: {channel: 1, keys: 36-60}, b: {channel: 2, keys: 48-96}}", nil, 0},
		{"two ports", "{a: {channel: port 1 channel 1, keys: 36-60}, b: {channel: port 2 channel 1, keys: 48-96}}", nil, 0},
		{"one of two channels", "{a: {channel: [1, 2], keys: 36-60}, b: {channel: [2, 3], keys: 60-96}}",
			[]string{"keys-overlap: key C4 (60) plays on part a and on part b"}, 1},
		{"two velocities", "{a: {channel: 1, keys: 36-60, velocities: 1-64}, b: {channel: 1, keys: 48-96, velocities: 65-127}}", nil, 0},
		{"velocities that meet at one", "{a: {channel: 1, keys: 36-60, velocities: 1-64}, b: {channel: 1, keys: 60-96, velocities: 64-127}}",
			[]string{"keys-overlap: key C4 (60) plays on part a and on part b"}, 1},
		{"a hole that a third fills", "{a: {channel: 1, keys: 0-40}, b: {channel: 1, keys: 61-96}, c: {channel: 1, keys: 41-60}}", nil, 0},
		{"a hole on one channel of two", "{a: {channel: [1, 2], keys: 0-40}, b: {channel: [1, 2], keys: 61-96}, c: {channel: 2, keys: 41-60}}",
			[]string{"keys-unplayed: no part plays keys F2-C4 (41-60) on channel 1, between parts a and b"}, 20},
		{"a zone of per-note channels", "{a: {channel: mpe lower, keys: 0-40}, b: {channel: mpe lower, keys: 42-127}}",
			[]string{"keys-unplayed: no part plays key F2 (41) on channel 1, between parts a and b"}, 1},
	} {
		p := build(t, "rig: Zones\nbanks: {K: {voices: 8}}\nparts: "+row.parts+"\n", Overrides{})
		var got []string
		for _, f := range p.Findings {
			if f.Code == routing.KeysOverlap || f.Code == routing.KeysUnplayed {
				require.Equal(t, routing.Note, f.Severity)
				require.False(t, f.Pos.IsZero())
				if got == nil {
					require.Equal(t, row.value, *f.Value, row.name)
					require.Equal(t, "keys", f.Unit)
				}
				got = append(got, string(f.Code)+": "+f.Text)
			}
		}
		require.Equal(t, row.want, got, row.name)
	}
}

// TestPartUnreached: voices that track 40 to 76 reach a part from 76 on and none from
// 77 on, or that part an octave and a semitone lower; one whole voice reaches all.
func TestPartUnreached(t *testing.T) {
	for _, row := range []struct {
		banks, part string
		found       bool
	}{
		{"limited: {1: 40-76, 2: 40-76}", "{keys: 76-90}", false},
		{"limited: {1: 40-76, 2: 40-76}", "{keys: 77-90}", true},
		{"limited: {1: 40-76, 2: 40-76}", "{keys: 20-39}", true},
		{"limited: {1: 40-76, 2: 40-76}", "{keys: 20-39, transpose: 1}", false},
		{"limited: {1: 40-76, 2: 40-76}", "{keys: 77-90, transpose: -1}", false},
		{"limited: {1: 40-76}", "{keys: 77-90}", false},
		{"limited: {1: 40-76}, out: [2]", "{keys: 77-90}", true},
		{"out: [1, 2]", "{keys: 77-90}", false}, // said already
	} {
		p := build(t, "rig: Reach\nbanks: {K: {voices: 2, "+row.banks+"}}\nparts: {a: "+row.part+"}\n", Overrides{})
		found := false
		for _, f := range p.Findings {
			found = found || f.Code == routing.PartUnreached
		}
		require.Equal(t, row.found, found, row)
	}
}
