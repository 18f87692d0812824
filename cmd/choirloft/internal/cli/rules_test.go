package cli

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/profiles"
)

// The first rule of each kind is the one that a part has by default.
func TestFirstRulesAreTheDefaults(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: R\nbanks: {K: {voices: 2}}\nparts: {p: {unison: {voices: 2}}}\n"), fstest.MapFS{})
	require.Empty(t, faults)
	p := rig.Parts[0]
	tails := map[bool]string{false: "known", true: "unknown"}[p.TailsUnknown]
	for i, has := range []string{p.Pick.String(), p.Steal.String(), p.SameKey.String(), p.Unison.Short.String(), tails} {
		require.Equal(t, alloc.Rules()[i].Rules[0].Name, has)
	}
}
