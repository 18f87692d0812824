package figures

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// TestTake: of a voice in its place what was heard lies where it was asked; of one that is
// crossed it is drawn in the accent, with a line from what was asked. Nothing lies outside.
func TestTake(t *testing.T) {
	key := func(k float64) *float64 { return &k }
	other := "K1"
	notes := func(heard *float64) []contract.TookNote {
		return []contract.TookNote{{Kind: "roll call", AtS: 1, Seconds: 0.2, Key: 50, HeardKey: heard}, {Kind: "reading", AtS: 3, Seconds: 0.5, Key: 96, HeardKey: heard},
			{Kind: "gate", AtS: 4, Seconds: 0.005, Key: 60}, {Kind: "fade", AtS: 5, Seconds: 0.4, Key: 50, HeardKey: heard}, {Kind: "again", AtS: 9, Seconds: 0.2, Key: 50, HeardKey: heard}}
	}
	took := &contract.Took{Rig: "Wall", Voices: []contract.TookVoice{
		{Name: "K1", State: "ok", FromS: 3, Notes: notes(nil), Readings: []contract.TookReading{{Key: 96, Cents: 1.5}}},
		{Name: "K2", State: "crossed", Faults: []contract.TookFault{{Code: "crossed", With: &other}}, FromS: 3, Notes: notes(key(67))},
	}}
	p := Take(took, 200, TakeHeight(took))
	golden(t, "take.svg", p)
	var said []string
	for _, text := range p.Texts() {
		said = append(said, text.Text)
		require.GreaterOrEqual(t, text.Left, 0.0)
		require.LessOrEqual(t, text.Right, p.Width)
		require.LessOrEqual(t, text.Bottom, p.Height)
	}
	require.Subset(t, said, []string{"K1", "K2", "ok, +1.5 cents", "crossed with K1", "call", "again"})
	require.NotPanics(t, func() { Take(&contract.Took{}, 100, 60) })
}
