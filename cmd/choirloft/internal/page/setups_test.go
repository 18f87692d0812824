package page

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// lay puts a rig of testdata on the desk.
func (b *bench) lay(rig string) {
	b.t.Helper()
	text, err := os.ReadFile(top + "testdata/" + rig)
	require.NoError(b.t, err)
	require.NoError(b.t, b.desk.Edit(text))
	require.Empty(b.t, b.desk.faults)
}

// Moves come as the command prints them; choirloft/routing/setups holds them to all there are.
func TestRepatch(t *testing.T) {
	b := newBench(t)
	status, answer := b.post("repatch", `{"from": "studio", "to": "stage"}`)
	require.Equal(t, 404, status)
	require.Contains(t, answer, "the rig has no set-ups")
	b.lay("rigs/full.yaml")
	status, answer = b.post("repatch", `{"from": "studio", "to": "stge"}`)
	require.Equal(t, 404, status)
	require.JSONEq(t, `{"error": "no set-up \"stge\", the rig has studio, stage", "hint": "did you mean stage?"}`, answer)
	status, answer = b.post("repatch", `{"from": "studio", "to": "stage", "voice": "K1"}`)
	require.Equal(t, 400, status, answer)
	status, answer = b.post("repatch", `{"from": "studio", "to": "stage"}`)
	require.Equal(t, 200, status)
	var got struct {
		From, To     string
		Moves        int
		Pulls, Plugs []map[string]string
		Switches     []any
		Doc          document
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &got))
	require.Equal(t, []string{"studio", "stage"}, []string{got.From, got.To})
	require.Equal(t, got.Moves, len(got.Pulls)+len(got.Plugs)+len(got.Switches))
	require.NotZero(t, got.Moves)
	require.NotEmpty(t, got.Doc.Blocks)
}

// A voice that fails: who stands in, and which cables move. In this rig P4 is the spare of bank P, and use_spare is
// off, so that the answer asks for it.
func TestOutage(t *testing.T) {
	b := newBench(t)
	b.demo()
	b.lay("rigs/full.yaml")
	status, answer := b.post("outage", `{"voice": "P1", "song": "1"}`)
	require.Equal(t, 200, status, answer)
	var got struct {
		Out     string
		StandIn *string `json:"stand_in"`
		Asks    bool
		Songs   []struct{ Song struct{ Title, File string } }
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &got))
	require.Equal(t, "P1", got.Out)
	require.Equal(t, "slow-kiln.mid", got.Songs[0].Song.File)
	for voice, want := range map[string]string{"P9": "P9", "P2": "P2 is out of service already", "": "--without"} {
		status, answer = b.post("outage", `{"voice": "`+voice+`"}`)
		require.Equal(t, 422, status, answer)
		require.Contains(t, answer, want)
	}
}
