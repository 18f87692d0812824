package listen

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/detune"
)

// The sounds of a stack, in their order: each has a line in its spectrum where each of
// its voices is detuned to, and the beats that the map prints for the three keys.
func TestStacks(t *testing.T) {
	p := rigOf(t, 4, "sound: {wave: sine}, attack: 5 ms, sustain: 100 %, release: 1 s", ", keys: 93-99, unison: {voices: 4, spread: 12 cents}")
	s, list, err := NewStacks(p)
	require.NoError(t, err)
	require.Len(t, list, 1+3+4+4)
	w := p.Map.Unisons[0]
	for i, k := range w.Keys {
		x := list[1+i]
		require.True(t, x.Own)
		require.Equal(t, k.Key, x.Key)
		require.Equal(t, k.Cents, x.Cents)
		require.Equal(t, k.Beats, x.Beats)
	}
	laws := map[detune.Law]bool{}
	for n, x := range list {
		laws[x.Law] = true
		require.Equal(t, x.Spread == 12 && x.Law == detune.Uneven, x.Own)
		from := x.From + Rate/10
		const length = 4 * Rate
		left, right := s.sounds(Played, from, from+length)
		for i := range left {
			left[i] += right[i]
		}
		lines := spectrum(left)
		for _, c := range x.Cents {
			f := 440 * math.Pow(2, (float64(x.Key)-69+float64(c)/100)/12)
			bin := f * length / Rate
			k := int(bin + 0.5)
			require.Greater(t, lines[k], 0.3*lines[loudest(lines)], "sound %d: a voice at %.2f Hz", n, f)
		}
		silent, _ := s.sounds(Played, x.To-Rate/10, x.To)
		require.Zero(t, rms(silent), "sound %d ends before the next", n)
	}
	require.Len(t, laws, 5)
	require.Len(t, list[0].Cents, 1)
}

func loudest(x []float64) int {
	most := 0
	for i := range x {
		if x[i] > x[most] {
			most = i
		}
	}
	return most
}

// Parts that have the same stack are tested once, and those with another by themselves.
func TestStacksOfSeveralParts(t *testing.T) {
	text := "rig: Bench\nvoices:\n  plain: {release: 1 s}\nbanks:\n  K: {voices: 4, kind: plain}\nparts:\n" +
		"  pad: {channel: 1, unison: {voices: 2}}\n  arp: {channel: 2, unison: {voices: 2}}\n  lead: {channel: 3, unison: {voices: 2, spread: 5 cents}}\n  bass: {channel: 4}\n"
	_, list, err := NewStacks(planOf(t, text, noOverrides))
	require.NoError(t, err)
	parts := map[int][]int{}
	for _, x := range list {
		parts[x.Parts[0]] = x.Parts
	}
	require.Equal(t, map[int][]int{0: {0, 1}, 2: {2}}, parts)
	require.Len(t, list, 2*(1+3+4+4))
	require.Equal(t, int64(2*12*6.5*Rate), list[len(list)-1].To) // 5 s, a tail of 1 s and half a second
}

func TestStacksNeedAUnison(t *testing.T) {
	_, _, err := NewStacks(rigOf(t, 4, still, ""))
	require.EqualError(t, err, "no part of the rig plays in unison, so there is no stack to hear")
}

// Patterns that end at fewer voices are left out, and a stack without detune is spread
// by the usual width.
func TestOtherPatterns(t *testing.T) {
	laws := func(x Sounding) (list []detune.Law) {
		for _, o := range others(x, 0, 1) {
			list = append(list, o.Law)
		}
		return list
	}
	require.NotContains(t, laws(Sounding{Law: detune.Even, Spread: 10, Voices: make([]int, 13)}), detune.Uneven)
	require.Contains(t, laws(Sounding{Law: detune.Even, Spread: 10, Voices: make([]int, 12)}), detune.Uneven)
	for _, o := range others(Sounding{Voices: make([]int, 3)}, 0, 1) {
		require.Contains(t, []detune.Cents{6, 8, 12, 18, 24}, o.Spread)
	}
}
