package hearing_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study/hearing"
)

// A curve that has been asked makes nothing that grows with the notes of a song: ten
// times as many cost no more allocations.
func TestAllocations(t *testing.T) {
	count := func(notes int) float64 {
		c, err := hearing.NewCurve(crowd(notes, 10))
		require.NoError(t, err)
		return testing.AllocsPerRun(5, func() {
			for voices := 10; voices < 14; voices++ {
				_, err := c.Again(voices)
				require.NoError(t, err)
			}
		})
	}
	few, many := count(300), count(3000)
	t.Log(few, many)
	require.LessOrEqual(t, many, few*1.5+20)
}
