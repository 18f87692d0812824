package listen

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A held stack is one key: at each of the three that the map names it has a line in its spectrum for each
// voice, at 440·2^((key − 69)/12 + cents/1200) Hz, and lasts five seconds and a tail of one.
func TestHeld(t *testing.T) {
	p := rigOf(t, 4, "sound: {wave: sine}, attack: 5 ms, sustain: 100 %, release: 1 s", ", keys: 93-99, unison: {voices: 4, spread: 12 cents}")
	for key, want := range []float64{93, 96, 99} {
		s, x, err := NewHeld(p, 0, key)
		require.NoError(t, err)
		require.Equal(t, want, float64(x.Key))
		require.Len(t, x.Cents, 4)
		require.Equal(t, int64(6*Rate+96), s.Frames, "and a fade of 2 ms")
		const from, length = Rate / 10, 4 * Rate
		left, right := s.sounds(Played, from, from+length)
		for i := range left {
			left[i] += right[i]
		}
		lines := spectrum(left)
		for _, c := range x.Cents {
			f := 440 * math.Pow(2, (want-69+float64(c)/100)/12)
			require.Greater(t, lines[int(f*length/Rate+0.5)], 0.3*lines[loudest(lines)], "a voice at %.2f Hz", f)
		}
	}
}

// What cannot be heard is said: one voice on a note, and no voice in service.
func TestHeldNeedsAStack(t *testing.T) {
	_, _, err := NewHeld(rigOf(t, 4, still, ""), 0, 1)
	require.ErrorContains(t, err, "plays one voice on a note")
	text := "rig: Bench\nbanks:\n  K: {voices: 2, out: [1, 2]}\n  L: {voices: 2}\nparts:\n  pad: {channel: 1, banks: [K], unison: {voices: 2}}\n  arp: {channel: 2, banks: [L]}\n"
	_, _, err = NewHeld(planOf(t, text, noOverrides), 0, 1)
	require.EqualError(t, err, "no voice of part pad is in service, so nothing sounds")
}
