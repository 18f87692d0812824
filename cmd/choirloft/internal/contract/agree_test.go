package contract

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// For every rig of testdata the map and the sheet of the contract say the jacks, ports and channels that
// the plan has and a song is dealt to, and the pitch of a voice says the same budget as its map, which
// holds the largest of its curve.
func TestMapAndSheetSayWhatIsDealt(t *testing.T) {
	var files []string
	for _, pattern := range []string{"*.yaml", "rigs/*.yaml"} {
		found, err := filepath.Glob("../../../../testdata/" + pattern)
		require.NoError(t, err)
		files = append(files, found...)
	}
	require.Greater(t, len(files), 8)
	for _, file := range files {
		rig, err := profiles.Load(file)
		require.NoError(t, err)
		p, err := plan.Build(rig, plan.Overrides{})
		require.NoError(t, err)
		m := NewMap(p)
		require.Equal(t, m.Voices, NewSheet(p).Map.Voices, file)
		for i := range m.Voices {
			v := &m.Voices[i]
			for input, said := range map[string]*Jack{"pitch": v.Pitch, "gate": v.Gate} {
				l := p.Map.Voices[i].Lane(input)
				require.Equal(t, l != nil && l.Fits(), said != nil, "%s: %s.%s", file, v.Name, input)
				if said == nil {
					continue
				}
				require.Equal(t, l.Jack, said.Jack)
				require.Equal(t, rig.Interfaces[l.Interface].Name, said.Interface)
				if home, ok := deal.HomeOf(rig, &l.Outlet); ok {
					require.Equal(t, int(home.Channel)+1, *said.Channel)
				}
			}
			if v.Budget == nil {
				continue
			}
			if i%5 != 0 && !corpora.Asked() { // its curve takes longer than all the rest
				continue
			}
			pitch := NewPitch(p, i)
			require.Equal(t, v.Budget, pitch.Budget)
			for _, at := range pitch.Curve {
				if at.WorstCents != nil {
					require.LessOrEqual(t, *at.WorstCents, *v.Budget.WorstCents+1e-6, "%s: %s at %d", file, v.Name, at.Key)
					require.LessOrEqual(t, *at.LikelyCents, *at.WorstCents+1e-6)
				}
			}
			require.Equal(t, p.Map.Voices[i].Budget.Key, v.Budget.AtKey)
		}
	}
}
