package contract

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// The demo: 16 bars of 4 at 72 bpm, so that a bar lasts 3⅓ s; a held peak of 13
// and an audible one of 24 (the project's list of scenarios); as many losses on
// the lanes as in the replay.
func TestLanesOfTheDemo(t *testing.T) {
	rig, err := profiles.Load("../../../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	data, err := os.ReadFile("../../../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{Voices: []string{"10"}})
	require.NoError(t, err)
	replay, spans, err := p.Lanes(song)
	require.NoError(t, err)
	l := NewLanes(p, song, replay, spans)
	require.Len(t, l.Voices, 20)
	require.Equal(t, "out", l.Voices[10].State)
	require.Equal(t, []string{"pad", "bass", "arp", "lead"}, l.Parts)
	require.True(t, l.HasBars)
	require.GreaterOrEqual(t, len(l.Bars), 16)
	require.InDelta(t, 10.0/3, l.Bars[1].AtS, 1e-4)
	require.Equal(t, 2, l.Bars[1].Bar)
	most := func(steps []DepthStep) (n int) {
		for _, s := range steps {
			n = max(n, s.Voices)
		}
		return n
	}
	require.Equal(t, []int{13, 13, 24}, []int{most(l.Held), most(l.Pedal), most(l.Audible)})
	lost := 0
	for _, s := range l.Spans {
		require.LessOrEqual(t, s.Voice, 10)
		if s.Ending != "" {
			lost++
		}
	}
	require.Equal(t, len(NewResult(p, "x.mid", song, replay).Losses), lost, "no note is dropped by protect-outer")
}
