package recorded

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/take"
)

// TestReleases: of 1.234, 2 and 3.4567 s the median is 2; of two voices it is the mean. A kind that is
// built in gets a place in the file; a voice that is doubled is not counted.
func TestReleases(t *testing.T) {
	rig, faults := profiles.Read("test.yaml", []byte("rig: Wall\ninterfaces: {main: {profile: cv16-gate16}}\nvoices: {kiln: {profile: saw-lowpass, release: 9 s, measured: [release]}}\n"+
		"banks: {K: {voices: 4, kind: kiln}, L: {voices: 2}}\nparts: {p: {}}\n"), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	made, err := take.New(p, take.Options{})
	require.NoError(t, err)
	r := &Result{Take: made, Voices: []Voice{{Voice: 0, Release: 2}, {Voice: 1, Release: 1.2344}, {Voice: 2, Release: 3.4567}, {Voice: 3, Release: 7, State: Doubled},
		{Voice: 4, Release: 0.25}, {Voice: 5, Release: 0.35}}}
	releases := r.Releases()
	require.Len(t, releases, 2)
	kiln, other := releases[0], releases[1]
	if rig.Kinds[kiln.Kind].Name != "kiln" {
		kiln, other = other, kiln
	}
	require.Equal(t, []any{3, 2 * time.Second, 1230 * time.Millisecond, 3460 * time.Millisecond}, []any{kiln.Voices, kiln.Median, kiln.Low, kiln.High})
	require.Equal(t, []any{2, 300 * time.Millisecond}, []any{other.Voices, other.Median})
	require.Equal(t, []profiles.Setting{{Path: []string{"voices", "kiln", "release"}, Text: "2 s"}, {Path: []string{"voices", "kiln", "measured"}, Text: "[release]"},
		{Path: []string{"voices", "saw-lowpass"}, Text: "{profile: saw-lowpass, release: 300 ms, measured: [release]}"}}, Settings(rig, []KindRelease{kiln, other}, nil, plan.TypedTime))

	r.Voices = []Voice{{Voice: 0, Release: math.NaN()}}
	require.Empty(t, r.Releases())
}
