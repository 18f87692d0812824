package say

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// TestLiveWords: what is to be said of waits, pitches and takes is said, and else
// nothing.
func TestLiveWords(t *testing.T) {
	calm := textOf(t, Live(&contract.Live{Rig: "W", Notes: 3, Takes: 3}), 120)
	for _, word := range []string{"unison", "pitch", "octave"} {
		require.NotContains(t, calm, word)
	}
	text := textOf(t, Live(&contract.Live{Rig: "W", Notes: 12, Takes: 36, Waited: 10, LongestWaitMS: 57, WaitedMS: 509, Clamped: 2, MissedCents: 100, Folded: 1}), 120)
	for _, line := range []string{"10 notes began late, waiting for the voices of a unison: by up to 57 ms, 509 ms together.",
		"2 notes at the wrong pitch, by up to 100.0 cents: a voice could not be driven that far.",
		"1 note in another octave, as the part asks for.",
		"12 notes took voices 36 times: a unison takes several."} {
		require.Contains(t, text, line)
	}
}
