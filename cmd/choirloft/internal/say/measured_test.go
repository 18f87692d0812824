package say

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// TestMeasuredLines: what was measured of voices is said once, with the voice that is the
// furthest out; nothing is said where nobody measured.
func TestMeasuredLines(t *testing.T) {
	one, two := []contract.EarlyVoice{{Voice: "K3", LatencyS: 0.008}}, []contract.EarlyVoice{{Voice: "K1", LatencyS: 0.002}, {Voice: "K3", LatencyS: 0.008}}
	require.Empty(t, earlyLine(nil))
	require.Equal(t, "K3 answers 8.0 ms late, so it is started that much early, never before the song's start.", earlyLine(one))
	require.Equal(t, "2 voices are started early by what they answer late, up to 8.0 ms (K3), never before the song's start.", earlyLine(two))
	require.Empty(t, slowLine(nil))
	require.Equal(t, []string{"Measured late: 2 voices, by up to 8.0 ms (K3). live cannot start them early; write does."}, slowLine(two))
	require.Empty(t, levelTrims(nil))
	require.Equal(t, []string{"Trim at the mixer, as measured: K2 by -1.5 dB, K1 by +2.0 dB."}, levelTrims([]contract.LevelTrim{{Voice: "K1", DB: 2}, {Voice: "K2", DB: -1.5}}))
}

// TestTookWarmthAndDrift: both sides of a cent between the roll calls, and the days on which
// drift rests.
func TestTookWarmthAndDrift(t *testing.T) {
	at := func(moved float64, days int) took {
		return took{&contract.Took{MovedCents: &moved, Days: days}}
	}
	require.Contains(t, at(0.9, 0).warmth()[0], "the rack was warm.")
	require.Contains(t, at(-1.1, 0).warmth()[0], "the rack was not warm yet")
	require.Empty(t, took{&contract.Took{}}.warmth())
	require.Contains(t, at(0, 0).drift()[0], "Drift stays assumed. With --date")
	require.Contains(t, at(0, 1).drift()[0], "Record a take on another day")
	two := at(0, 2)
	two.Tuning = &contract.Tune{DriftCents: new(10.3), Voices: []contract.TunedVoice{{Correct: &contract.Corrected{DriftCents: new(0.2)}}, {Correct: &contract.Corrected{DriftCents: new(1.41)}},
		{ByHand: true, Correct: &contract.Corrected{DriftCents: new(9.0)}}}}
	require.Equal(t, []string{"Drift is measured on 2 days, of 2 voices: 0.2 to 1.4 cents from day to day (standard deviation).",
		"So few days leave it uncertain: at worst drift counts as 10.3 cents, and each further day narrows that."}, two.drift())
}
