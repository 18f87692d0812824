package contract

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing/plan"
)

func checkReport(t *testing.T, text string) *Check {
	t.Helper()
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	return NewCheck(p, nil, nil)
}

// 380 of 1000 mA are 38 %; -12 is drawn and not there; B stands in no row, C says
// nothing of itself.
func TestSupplyAndRowTables(t *testing.T) {
	c := checkReport(t, `
banks: {A: {voices: 1, row: 2, hp: 40, ma: {+12: 380, -12: 20}}, B: {voices: 1, ma: {+12: 5}}, C: {voices: 1, row: 1}}
supplies: {one: {+12: 1 A, feeds: [A]}}
`)
	require.Equal(t, [][]string{
		{"one", "+12", "380 mA", "1000 mA", "38 %", "A"},
		{"one", "-12", "20 mA", "0 mA", "-", ""},
	}, c.SupplyTable().Groups[0].Rows)
	require.Equal(t, [][]string{{"2", "40 of 104", "+12 380 mA, -12 20 mA", "A"}}, c.RowTable().Groups[0].Rows)
	require.Nil(t, c.Supplies[0].Rails[1].Share)
	require.Equal(t, "one", *c.Rows[1].Modules[0].Supply)
	require.Len(t, c.PowerCautions(), 1)
	require.True(t, c.Errors()) // the rail that is missing

	silent := checkReport(t, "banks: {A: {voices: 1, row: 1}}\n")
	require.Empty(t, silent.RowTable().Groups)
	require.Nil(t, silent.PowerCautions())
	require.False(t, silent.Errors())
}

// Written out in routing/levels: four saws behind −6 dB, 10.02 V where all peaks
// meet, 0.4 dB below the clip; banks with as many voices share a row.
func TestLevelTable(t *testing.T) {
	const rig = "banks: {A: {voices: 4}, B: {voices: 4}, C: {voices: 1}}\n"
	require.Empty(t, checkReport(t, rig).LevelTable().Groups) // nothing is said of levels
	c := checkReport(t, rig+"levels: {submix: -6 dB}\n")
	rows := c.LevelTable().Groups[0].Rows
	require.Len(t, rows, 4)
	require.Equal(t, []string{"banks A-B", "4", "-6.0 dB", "10.0 V", "0.4 dB", "10.0 V", "0.4 dB", "-", "-5.6 dB"}, rows[1])
	require.Equal(t, "bank C", rows[2][0])
	require.Equal(t, "9", rows[3][1])
	// 10·log10(9) and 20·log10(9)
	require.Contains(t, c.Levels.Cautions()[0], "9 voices that enter together are 9.5 to 19.1 dB louder than one")
}

func TestClipped(t *testing.T) {
	for share, want := range map[float64]string{0: "-", 1e-9: "<1 ppm", 2e-5: "20 ppm", 0.0454: "4.5 %"} {
		require.Equal(t, want, clipped(share))
	}
}
