package contract

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Main's middle is 10 HP from the left of row 1, A's 25: 1.25·15·5.08 + 60 =
// 155 mm for what is common to the bank; its voices are at 22.5 and 27.5 HP, so
// 139 and 171 mm.
func TestCableLines(t *testing.T) {
	m := mapReport(t, `
interfaces: {main: {profile: cv8-gate8, row: 1, hp: 20}}
banks: {A: {voices: 2, row: 1, hp: 10, lanes: [cutoff]}}
`)
	require.Equal(t, []string{
		"Cables to buy: 5, without those of sound (pitch blue, gate yellow, lane grey, macro red).",
		"15 cm: 1 pitch, 1 gate",
		"30 cm: 1 pitch, 1 gate, 1 lane",
	}, m.CableLines())
	require.InDelta(t, 155.25, *m.Cables[2].LengthMM, 1e-9)
	require.Equal(t, 30, *m.Cables[2].StockCM)

	unknown := mapReport(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {A: {voices: 1}}\n")
	require.Equal(t, []string{
		"Cables to buy: 2, without those of sound (pitch blue, gate yellow, lane grey, macro red).",
		"length not known: 1 pitch, 1 gate",
		"Lengths are known where interfaces and banks say their row and hp, and what is left of them too.",
	}, unknown.CableLines())
	require.Nil(t, unknown.Cables[0].LengthMM)
	require.Nil(t, mapReport(t, "banks: {A: {voices: 1}}\n").CableLines())
}
