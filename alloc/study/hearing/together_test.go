package hearing_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study/hearing"
)

// It does not matter who listens too: numbers of voices by themselves are heard as
// all of them together, to the last bit.
func TestTogether(t *testing.T) {
	for _, song := range []hearing.Song{demo(t), crowd(400, 12)} {
		c, err := hearing.NewCurve(song)
		require.NoError(t, err)
		all, err := c.To(context.Background(), 30)
		require.NoError(t, err)
		for i, v := range all {
			one, err := c.On(i + 1)
			require.NoError(t, err)
			require.Equal(t, one, v, "%d voices", i+1)
		}
	}
}
