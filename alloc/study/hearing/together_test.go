package hearing_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
)

// It does not matter who listens too: numbers of voices by themselves are heard as
// all of them together, to the last bit; and more voices than ever sound as those.
func TestTogether(t *testing.T) {
	for _, song := range []hearing.Song{demo(t), crowd(400, 12)} {
		c, err := hearing.NewCurve(song)
		require.NoError(t, err)
		settled := study.Settled(song.Rules, c.Asked.Reference)
		require.Greater(t, settled, 15)
		all, err := c.To(context.Background(), settled+3)
		require.NoError(t, err)
		for i, v := range all {
			one, err := c.Again(i + 1)
			require.NoError(t, err)
			require.Equal(t, one, v, "%d voices", i+1)
		}
	}
}
