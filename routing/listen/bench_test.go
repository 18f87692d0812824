package listen_test

import (
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/listen"
	"choirloft/routing/plan"
)

func demo(t testing.TB, o plan.Overrides) *listen.Sketch {
	rig, err := profiles.Load(filepath.Join("..", "..", "testdata", "kiln-yard.yaml"))
	require.NoError(t, err)
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "slow-kiln.mid"))
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	s, err := listen.New(p, song)
	require.NoError(t, err)
	return s
}

func none(int64) {}

// Both passes of the demo, in multiples of real time.
func BenchmarkDemo(b *testing.B) {
	s := demo(b, plan.Overrides{Voices: []string{"10"}})
	for b.Loop() {
		peaks, err := s.Peaks(b.Context(), none)
		require.NoError(b, err)
		require.NoError(b, s.Write(io.Discard, &listen.Take{Part: -1, Gain: peaks.Gain(), Sections: []listen.Section{{To: s.Frames}}}, none))
	}
	seconds := float64(s.Frames) / listen.Rate
	b.ReportMetric(seconds*float64(b.N)/b.Elapsed().Seconds(), "times-real")
}

var _ = time.Second
