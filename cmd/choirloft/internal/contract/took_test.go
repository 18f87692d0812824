package contract

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/take/recorded"
)

const tookWall = "rig: Wall\ninterfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}\nbanks: {K: {voices: 3, kind: %s}}\n"

func tookPlan(t *testing.T, kind, more string) *plan.Plan {
	t.Helper()
	rig, faults := profiles.Read("rig.yaml", fmt.Appendf(nil, tookWall+more, kind), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	return p
}

// TestUnheardVoicesAreAssumed: where voices of a kind were measured one by one, the release of
// the kind is not that of the others, and check names them. A kind that somebody measured as
// such stands for all.
func TestUnheardVoicesAreAssumed(t *testing.T) {
	const kind = "voices: {kiln: {profile: saw-lowpass, release: 800 ms, measured: [release]}}\n"
	require.Equal(t, []string{"drift of kiln"}, assumedIn(tookPlan(t, "kiln", kind).Rig))
	some := tookPlan(t, "kiln", kind+"measured: {K1: {release: 0.8 s}}\n")
	require.Equal(t, []string{"drift of kiln", "release of K2, K3, as others of the kind"}, assumedIn(some.Rig))
	require.Equal(t, FromRig, valuesOf(some).ReleaseSource)
	all := tookPlan(t, "kiln", kind+"measured: {K1: {release: 0.8 s}, K2: {release: 0.7 s}, K3: {release: 1 s}}\n")
	require.Equal(t, []string{"drift of kiln"}, assumedIn(all.Rig))
	require.Equal(t, Measured, valuesOf(all).ReleaseSource)
}

// TestCorrectsSaysWhetherItWasPlayed: 4 mV more are 4.8 cents at 1 V/oct, for a voice that is as
// flat. Read 4.8 cents flat through them it was not corrected; in tune it was.
func TestCorrectsSaysWhetherItWasPlayed(t *testing.T) {
	p := tookPlan(t, "saw-lowpass", "corrections: {K1: {offset: 4 mV}, K2: {offset: 0.5 mV}}\n")
	at := func(voice int, cents float64) *recorded.Voice {
		return &recorded.Voice{Voice: voice, Readings: []recorded.Reading{{Key: 48, Cents: cents, Sigma: 0.05}, {Key: 60, Cents: cents, Sigma: 0.05}}}
	}
	for _, c := range []struct {
		voice              int
		cents              float64
		moves, uncorrected bool
	}{{0, -4.8, true, true}, {0, 0, true, false}, {1, -0.6, false, true}, {2, 0, false, true}} {
		moves, uncorrected := corrects(p, at(c.voice, c.cents))
		require.Equal(t, []bool{c.moves, c.uncorrected}, []bool{moves, uncorrected}, "%v", c)
	}
}
