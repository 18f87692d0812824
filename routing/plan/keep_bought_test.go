package plan

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// A bank like P takes 5 CVs of 4 that are free, 88 HP of 16 in its row, 380 mA: so an
// interface of 30 HP, of 24 in row 6, and two rows. Supply two bears 380 + 320 mA beside
// its 1340 (75 % of 3 A are 2250).
func TestABankForTheDemo(t *testing.T) {
	file, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	p, err := Draft(file, MustParse("--buy", "1xP"))
	require.NoError(t, err)
	require.Equal(t, 1, p.Bought.Interfaces)
	require.Equal(t, 2, p.Bought.Rows)
	require.Zero(t, p.Bought.Supplies)
	first, ok := p.Bought.First()
	require.True(t, ok)
	require.Equal(t, "CV jacks (4 free, 5 needed)", first.String())
	require.Empty(t, p.WithoutJack())
	data, err := os.ReadFile("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	kept, err := Write(&profiles.File{Path: "../../testdata/kiln-yard.yaml", Data: data, Rig: file}, MustParse("--buy", "1xP"))
	require.NoError(t, err)
	was := strings.Split(string(data), "\n")
	var added []string
	for _, line := range strings.Split(string(kept.Data), "\n") {
		if len(was) > 0 && line == was[0] {
			was = was[1:]
			continue
		}
		added = append(added, line)
		if strings.HasPrefix(line, "  two:") {
			was = was[1:]
		}
	}
	require.Empty(t, was, "every other line is as it was")
	require.Equal(t, []string{
		"  main2: {profile: cv32-gate32, connector: 8, window: 0 V to 5 V, zero_key: 36, bits: 16, output_resistance: 100 ohm, hp: 30, ma: {+12: 320, -12: 60}, row: 8}  # bought: volts assumed until measured",
		"  Q: {voices: 4, kind: kiln, lanes: [cutoff], row: 7, hp: 88, ma: {+12: 380, -12: 345}}  # bought: tuning and release assumed until measured",
		"  two: {+12: 3 A, -12: 3 A, feeds: [N, P, main, effects, Q, main2]}",
	}, added)
}
