package listen

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi/corpora"
	"choirloft/routing/plan"
)

// The loudest stretches of a song are nearly as loud as the whole of it, and never louder;
// all stretches are the whole.
func TestLoudest(t *testing.T) {
	for _, voices := range []int{10, 19} {
		s := demo(t, plan.Overrides{Voices: plan.All(voices)})
		if !corpora.Asked() {
			s.Frames = 8 * Rate
		}
		all, err := s.Peaks(context.Background(), none)
		require.NoError(t, err)
		some, err := s.Loudest(context.Background(), 4*Rate)
		require.NoError(t, err)
		most := max(all.Asked, all.Played)
		require.LessOrEqual(t, max(some.Asked, some.Played), most)
		require.InDelta(t, DB(most, 1), DB(max(some.Asked, some.Played), 1), 3, "dB; full scale is 12 dB above the peak")
		whole, err := s.Loudest(context.Background(), s.Frames+stretch)
		require.NoError(t, err)
		require.Equal(t, all, whole)
		ended, stop := context.WithCancel(context.Background())
		stop()
		_, err = s.Loudest(ended, Rate)
		require.ErrorIs(t, err, context.Canceled)
	}
}
