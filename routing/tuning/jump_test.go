package tuning

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// jumpsOf are the jumps of voices that moved by so many cents from the first of November to
// the second.
func jumpsOf(t *testing.T, cents ...float64) []Jump {
	t.Helper()
	rig := rigOf(t, fmt.Sprintf("interfaces: {main: {profile: cv32-gate32, window: 0 V to 5 V, zero_key: 36}}\nbanks: {K: {voices: %d}}\n", len(cents)))
	days := make([][]float64, len(cents))
	for i, c := range cents {
		days[i] = []float64{1, 1 + c}
	}
	return Study(rig, moved(rig, days), 3).Jumps
}

// TestJumpsOnEitherSide: the drift of 2 cents that is assumed makes √2·2 from one day to the
// next, so 8 squared. One voice alone is asked after beyond 3.5·√8 = 9.90 cents. Of the moves 0, 0.1, 0.2 and x
// the median is 0.15 and the median deviation 0.1, which is s = 0.1/0.6745: the limit is 3.5·√((4·8 + 4·s²)/8) = 7.01
// from 0.15. Of 32 voices of which most stand still it is 3.5·√(4·8/36) = 3.30, less than the 3.5 cents that
// are just heard.
func TestJumpsOnEitherSide(t *testing.T) {
	require.Empty(t, jumpsOf(t, 9.8))
	require.Len(t, jumpsOf(t, -10), 1)
	require.Empty(t, jumpsOf(t, 0, 0.1, 0.2, 7.15))
	got := jumpsOf(t, 0, 0.1, 0.2, 7.17)
	require.Len(t, got, 1)
	require.Equal(t, []any{3, "2026-11-01", "2026-11-02"}, []any{got[0].Voice.Voice, got[0].From, got[0].To})
	require.InDelta(t, 7.17, got[0].Cents, 1e-6)
	require.InDelta(t, 0.15, got[0].Others, 1e-6)
	require.InDelta(t, 3.5*math.Sqrt((4*8+4*math.Pow(0.1/0.6745, 2))/8), got[0].Limit, 1e-6)
	still := make([]float64, 31)
	require.Empty(t, jumpsOf(t, append(still, 3.49)...))
	require.Len(t, jumpsOf(t, append(still, 3.51)...), 1)
	require.Empty(t, jumpsOf(t, 20, 20.1, 19.9, 20)) // a reference that moved, and no turn
}

// TestManyTurnsDoNotHide: of eight voices five are turned. Their moves scatter by 10 cents, and
// count for no more than the drift that is assumed: 9.9 cents and more are asked after.
func TestManyTurnsDoNotHide(t *testing.T) {
	var found []int
	for _, j := range jumpsOf(t, 16, -12, 11, 9, -6, 0.1, 0.2, -0.1) {
		found = append(found, j.Voice.Voice)
	}
	require.Equal(t, []int{0, 1, 2}, found)
}

// TestJumpOfAScale: a scale that was turned moves keys apart, and one slip of a reading is no
// turn. K1 is 0, 10 and 20 cents up at three keys, K2 50 cents at one of them.
func TestJumpOfAScale(t *testing.T) {
	rig := rigOf(t, wall)
	readings := moved(rig, [][]float64{{0}, {0}, {0}, {0}})
	for voice, cents := range []func(float64) float64{line(0, 10), by(0), by(0), by(0)} {
		readings = append(readings, at(rig, voice, "2026-11-02", cents, 36, 48, 60)...)
	}
	slip := at(rig, 1, "2026-11-02", by(50), 60)[0]
	for i := range readings {
		if r := &readings[i]; r.Voice == 1 && r.Date == slip.Date && r.Volts == slip.Volts {
			*r = slip
		}
	}
	r := Study(rig, readings, 3)
	require.Len(t, r.Jumps, 1)
	require.Equal(t, 0, r.Jumps[0].Voice.Voice)
	require.InDelta(t, 10, r.Jumps[0].Cents, 1e-6)
	var places []string
	for _, f := range r.Findings {
		if f.Code == "moved-apart" {
			places = append(places, f.Where)
		}
	}
	require.Equal(t, []string{"corrections.K1"}, places)

	// Anew, its first day is gone, and nothing is known of its drift; the others keep theirs.
	r = Study(rig, Anew(readings, func(voice int) bool { return voice == 0 }), 3)
	require.Empty(t, r.Jumps)
	require.Equal(t, []int{0, 2, 2, 2}, []int{r.Voices[0].Drift.Days, r.Voices[1].Drift.Days, r.Voices[2].Drift.Days, r.Voices[3].Drift.Days})
}
