package plan

import (
	"context"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
)

// What is remembered of other numbers of voices is what would be found anew; what decides
// otherwise is found anew.
func TestDemandsRemembered(t *testing.T) {
	rig, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	data, err := os.ReadFile("../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	known := &Demands{}
	listen := func(flags ...string) {
		p, err := Build(rig, MustParse(flags...))
		require.NoError(t, err)
		played, err := p.Replay(song)
		require.NoError(t, err)
		want, err := p.Listen(song, played, study.NewBudget(Listening))
		require.NoError(t, err)
		got, err := p.ListenWhile(t.Context(), known, song, played, study.NewBudget(Listening))
		require.NoError(t, err)
		require.Equal(t, want.Demand, got.Demand, flags)
		require.Equal(t, want.Most, got.Most, flags)
		require.Equal(t, want.Heard, got.Heard, flags)
	}
	for _, n := range []int{19, 18, 17, 13, 10, 9, 5, 2} {
		listen("--voices", fmt.Sprint(n))
	}
	require.Len(t, known.known, 1, "how many are in service does not matter")
	listen("--release", "0.3 s", "--voices", "10")
	require.Len(t, known.known, 2)
	require.NotEqual(t, known.known[0].Demand, known.known[1].Demand, "shorter tails want fewer")
	listen("--pick", "bank-spread", "--voices", "12")
	listen("--pick", "bank-spread", "--voices", "10") // of the third bank only two stand there
	listen("--pick", "bank-spread", "--voices", "12")
	require.Len(t, known.known, 4)
	for _, steal := range []string{"oldest", "none", "least-audible"} {
		listen("--steal", steal)
	}
	require.Len(t, known.known, mostDemands, "no more are kept")

	p, err := Build(rig, MustParse("--voices", "7"))
	require.NoError(t, err)
	played, err := p.Replay(song)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = p.ListenWhile(ctx, known, song, played, study.NewBudget(Listening))
	require.ErrorIs(t, err, context.Canceled)
}
