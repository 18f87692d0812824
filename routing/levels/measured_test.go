package levels

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// TestMeasuredLevels: two voices of 5 V peak behind −6 dB, one measured 6.0206 dB (twice)
// above the median: rms over both is √((4 + 1)/2) = 1.5811, so that their sum counts as
// 2·5·0.501187·1.5811 = 7.924 V where peaks meet, and one alone as 10 V.
func TestMeasuredLevels(t *testing.T) {
	r, faults := profiles.Read("test.yaml", []byte("rig: Test\nbanks: {K: {voices: 2}, L: {voices: 2}}\nmeasured: {K1: {level: 6.0206 dB}, L1: {level: 0 dB}}\n"), nil)
	require.Empty(t, faults)
	l := New(r, Counts{Banks: []int{2, 2}, All: 4}, make([]bool, 2))
	require.InDelta(t, 7.924, float64(l.Banks[0].CoherentPeak()), 1e-3)
	require.InDelta(t, 2*5*0.501187, float64(l.Banks[1].CoherentPeak()), 1e-4)
	require.InDelta(t, 10, float64(l.Voice.CoherentPeak()), 1e-4)
	require.Equal(t, []profiles.Decibels{-6.0206, 0, 0, 0}, Trims(r))
}
