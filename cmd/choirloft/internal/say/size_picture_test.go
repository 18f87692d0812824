package say

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/routing/plan"
)

// What a picture of sizes says of the demo, as cmd/demosong works it out: its numbers are
// those of the answer in words, and what stands below a number is its row of the table.
func TestSizePicture(t *testing.T) {
	p, r := sizeOf(t, "kiln-yard.yaml", plan.Overrides{}, songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
	s := &contract.NewSize(p, r).SizeResult
	answer, below := SizePicture(s)
	require.Equal(t, "Slow Kiln needs 16 voices, 24 with sine waves; 19 in service.", answer)
	require.Equal(t, size{s}.nowLine(), below[0])
	require.Equal(t, []SizeMark{{Voices: 13, Says: "no note cut"}, {Voices: 14, Says: "no plain loss"}, {Voices: 16, Says: "no loss to hear", Answer: true},
		{Voices: 19, Says: "you have", Have: true}, {Voices: 24, Says: "every tail rings out"}}, SizeMarks(s))
	heads, cells := SizeRows([]*contract.SizePoint{&s.Curve[9], &s.Curve[15]}, true)
	require.Equal(t, []string{"seconds heard", "seconds plain", "cut or dropped", "best possible", "tails cut"}, heads)
	require.Equal(t, []string{"17", "11", "253"}, cells[0][2:])
	require.Equal(t, []string{"-", "-", "-", "-", "213"}, cells[1])

	s.Demand.HeardDemand, s.Voices = nil, 13
	require.Equal(t, []SizeMark{{Voices: 13, Says: "no note cut, you have", Answer: true, Have: true}, {Voices: 24, Says: "every tail rings out"}}, SizeMarks(s))
}
