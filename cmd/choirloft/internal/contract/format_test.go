package contract

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestKeyNames(t *testing.T) {
	for _, c := range []struct {
		key, middleC int
		want         string
	}{
		{60, 4, "C4"}, {60, 3, "C3"}, {36, 4, "C2"}, {0, 4, "C-1"}, {127, 4, "G9"},
		{-1, 4, "B-2"}, {-48, 4, "C-5"}, {128, 4, "G#9"}, {175, 3, "G12"}, // outside of MIDI, by octaves of 12
	} {
		require.Equal(t, c.want, KeyName(c.key, c.middleC), "%d", c.key)
	}
}

func TestWhatJSONCannotSayIsNil(t *testing.T) {
	require.Nil(t, finite(math.Inf(-1)))
	require.Nil(t, finite(math.NaN()))
	require.Equal(t, -60.0, *finite(-60))
	require.Nil(t, level(math.Inf(-1)))
	require.Nil(t, level(-313.1))
	require.Equal(t, -200.0, *level(-200))
}
