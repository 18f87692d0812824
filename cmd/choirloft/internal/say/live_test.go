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
		"12 notes used 36 voices in all: a unison uses several."} {
		require.Contains(t, text, line)
	}
	text = textOf(t, Live(&contract.Live{Rig: "W", Outputs: []contract.LiveOutput{{Output: 1, Name: "a"}, {Output: 2, Name: "b", LeftOutBytes: 1, UnreadBytes: 20}}}), 120)
	require.NotContains(t, text, "Output 1")
	require.Contains(t, text, "Output 2 (b) did not take everything: 1 byte left out.")
	require.Contains(t, text, "Output 2 (b) was not read to the end: 20 bytes unread.")
}

// lives are sessions that went well and badly.
func lives() []said {
	log := "evening.mid"
	return []said{of("live", &contract.Live{Rig: "W", Notes: 3, Takes: 3, Outputs: []contract.LiveOutput{}}, Live),
		of("live with losses", &contract.Live{Rig: "W", LastedS: 3.07, Events: 40, Notes: 12, Takes: 36, Damaged: 3, Dropped: 1, LateStart: 2, Waited: 10, LongestWaitMS: 57, WaitedMS: 509,
			Late: 1, LatestMS: 3, Clamped: 2, MissedCents: 100, Folded: 1, Overruns: 4, Log: &log, LogFull: true,
			Outputs: []contract.LiveOutput{{Output: 1, Name: "a-path-that-is-rather-long/and-goes-on-for-a-while/out.fifo", LeftOutBytes: 120, UnsentBytes: 9, UnreadBytes: 65536}}}, Live)}
}
