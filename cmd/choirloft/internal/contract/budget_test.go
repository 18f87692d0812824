package contract

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing/plan"
)

func mapReport(t *testing.T, text string) *Map {
	t.Helper()
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	return NewMap(p)
}

// A row is for neighbours of a bank that may stray alike: here A1 hangs on a
// multiple with A2, A3 is measured, A4 is not.
func TestBudgetTable(t *testing.T) {
	m := mapReport(t, `
interfaces: {main: {profile: cv8-gate8, output_resistance: 1 kohm}}
banks: {A: {voices: 4}, B: {voices: 1}}
wiring: [{from: main.cv 1, through: passive, to: [A1.pitch, A2.pitch]}]
corrections: {A3: {residual: 0.5 cents}}
`)
	table := m.BudgetTable()
	require.Len(t, table.Groups, 1)
	// half a step of 5 V and 16 bits is 0.0458 cents; 1200·(1.01/1.02 − 1) = −11.76 cents an octave, by 5
	require.Equal(t, [][]string{
		{"A1-A2", "<0.1", "58.8", "-", "-", "4.0", "62.9", "58.9", "assumed"},
		{"A3", "<0.1", "-", "-", "1.0", "-", "1.0", "0.5", ""}, // what is left takes the place of an assumed drift
		{"A4", "<0.1", "-", "-", "-", "4.0", "4.0", "2.0", "assumed"},
		{"B1", "<0.1", "-", "-", "-", "4.0", "4.0", "2.0", "assumed"},
	}, table.Groups[0].Rows)
	require.Equal(t, []string{"main cv 1 reaches A1.pitch and A2.pitch through a passive multiple: 98.0 % of its volts arrive."}, m.PathLines())
}

// ⌈5/4⌉ + 1 multiples at equal depth, ⌈4/3⌉ at least: TRADE §11. Nine inputs of
// multiples with four outputs take 3 + 1 against ⌈8/3⌉ = 3.
func TestPathLines(t *testing.T) {
	m := mapReport(t, `
interfaces: {main: {profile: cv16-gate16}}
banks: {A: {voices: 5}, B: {voices: 9}}
wiring: [{from: main.cv 1, through: buffered 8, to: A.pitch}, {from: main.cv 2, through: buffered 4, to: B.pitch}]
`)
	require.Equal(t, []string{
		"main cv 1 reaches A1.pitch, A2.pitch, A3.pitch, A4.pitch and A5.pitch through 1 buffered multiple in 1 level.",
		"main cv 2 reaches B1.pitch, B2.pitch, B3.pitch, B4.pitch, B5.pitch, B6.pitch, B7.pitch, B8.pitch and 1 more " +
			"through 4 buffered multiples in 2 levels (3 would do at unequal depth).",
	}, m.PathLines())
}
