package profiles

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestAnswer: what was measured of a voice takes the place of what its kind says, and of
// nothing else; what is written is read the same.
func TestAnswer(t *testing.T) {
	const text = "{release: 1.92 s, attack: 4.1 ms, level: -1.2 dB, latency: 3.15 ms, min_gate: 20 ms, sigma: {release: 0.012 s, latency: 0.2 ms}, " +
		"date: 2026-11-30, notes: 9, path: bank, tuning: {2026-11-29: {36: 1.2 cents, 60: -0.35 cents}, 2026-11-30: {60: 0.4 cents}}}"
	rig, faults := Read("test.yaml", []byte("rig: Test\nvoices: {kiln: {attack: 2 ms, decay: 40 ms, release: 3 s}}\nbanks: {K: {voices: 3, kind: kiln}}\nmeasured: {K2: "+text+"}\n"), nil)
	require.Empty(t, faults)
	require.Equal(t, text, rig.Voices[1].Answer.Text())
	require.Equal(t, []time.Duration{3 * time.Second, 2 * time.Millisecond}, []time.Duration{rig.Envelope(0).Release, rig.Envelope(0).Attack})
	e := rig.Envelope(1)
	require.Equal(t, []time.Duration{1920 * time.Millisecond, 4100 * time.Microsecond, 40 * time.Millisecond}, []time.Duration{e.Release, e.Attack, e.Decay})
	require.Equal(t, 3150*time.Microsecond, rig.Latency(1))
	require.Equal(t, Decibels(-1.2), rig.Louder(1))
	require.Zero(t, rig.Latency(0))
	require.Zero(t, rig.Louder(0))
	require.Equal(t, 20*time.Millisecond, rig.ShortestGate())
}

// TestShortestGate: what the file says counts before what was measured, and that before
// the default; a voice that is out needs none.
func TestShortestGate(t *testing.T) {
	for rig, want := range map[string]time.Duration{
		"": 5 * time.Millisecond,
		"measured: {K1: {min_gate: 8 ms}, K2: {min_gate: 20 ms}}":    8 * time.Millisecond, // K2 is out
		"measured: {K1: {min_gate: 2 ms}}":                           2 * time.Millisecond,
		"timing: {min_gate: 4 ms}\nmeasured: {K1: {min_gate: 8 ms}}": 4 * time.Millisecond,
	} {
		r, faults := Read("test.yaml", []byte("rig: Test\nbanks: {K: {voices: 2, out: [2]}}\n"+rig+"\n"), nil)
		require.Empty(t, faults)
		require.Equal(t, want, r.ShortestGate(), rig)
	}
}

// TestAnswerIsReplaced: an answer that stands there over two lines gives way to the new
// one, a voice that is not there yet comes beside it, and all else stays.
func TestAnswerIsReplaced(t *testing.T) {
	const before = "rig: Test   # ours\nbanks: {K: {voices: 3}}\nmeasured:                  # by a take\n  K1: {release: 2.31 s,\n    sigma: {release: 12 ms}}   # old\n  K2: {latency: 1 ms}\n# end\n"
	edited, rig, err := WithSettings("test.yaml", []byte(before), []Setting{
		{Path: []string{"measured", "K1"}, Text: "{release: 1.5 s}"}, {Path: []string{"measured", "K3"}, Text: "{release: 1.75 s}"}}, nil)
	require.NoError(t, err)
	require.Equal(t, "rig: Test   # ours\nbanks: {K: {voices: 3}}\nmeasured:                  # by a take\n  K1: {release: 1.5 s}   # old\n  K2: {latency: 1 ms}\n  K3: {release: 1.75 s}\n# end\n", string(edited))
	require.Equal(t, 1750*time.Millisecond, rig.Envelope(2).Release)
}
