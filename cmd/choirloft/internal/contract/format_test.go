package contract

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSpan(t *testing.T) {
	for seconds, want := range map[float64]string{
		0: "-", 0.0001: "0.1 ms", 0.00994: "9.9 ms", 0.00996: "10 ms", 0.34: "340 ms", 0.9994: "999 ms",
		0.9996: "1.00 s", 1.2: "1.20 s", 99.994: "99.99 s", 99.996: "100 s", 2364.4: "2364 s",
	} {
		require.Equal(t, want, Span(seconds), "%g s", seconds)
	}
}

func TestLevel(t *testing.T) {
	for db, want := range map[float64]string{-38.25: "-38.3 dB", -38.24: "-38.2 dB", -0.04: "0.0 dB", -0.06: "-0.1 dB", 0: "0.0 dB"} {
		require.Equal(t, want, Level(&db), "%g dB", db)
	}
	require.Equal(t, "-", Level(nil))
}

func TestClock(t *testing.T) {
	for seconds, want := range map[float64]string{0: "0:00.000", 59.9996: "1:00.000", 61.5: "1:01.500", 6000: "100:00.000"} {
		require.Equal(t, want, Clock(seconds), "%g s", seconds)
	}
}

func TestPercent(t *testing.T) {
	for share, want := range map[float64]string{0: "0 %", 0.004: "<1 %", 0.006: "1 %", 0.345: "34 %", 1: "100 %"} {
		require.Equal(t, want, Percent(share), "%g", share)
	}
}

func TestKeyNames(t *testing.T) {
	for _, c := range []struct {
		key, middleC int
		want         string
	}{
		{60, 4, "C4"}, {60, 3, "C3"}, {36, 4, "C2"}, {0, 4, "C-1"}, {127, 4, "G9"},
		{-1, 4, "B-2"}, {-48, 4, "C-5"}, {128, 4, "G#9"}, {175, 3, "G12"}, // outside of MIDI, by octaves of 12
	} {
		require.Equal(t, c.want, keyName(c.key, c.middleC), "%d", c.key)
	}
}

func TestCountAndList(t *testing.T) {
	require.Equal(t, "1 note", Count(1, "note"))
	require.Equal(t, "0 notes", Count(0, "note"))
	require.Equal(t, "", list(nil))
	require.Equal(t, "a", list([]string{"a"}))
	require.Equal(t, "a, b and c", list([]string{"a", "b", "c"}))
}

func TestWhatJSONCannotSayIsNil(t *testing.T) {
	require.Nil(t, finite(math.Inf(-1)))
	require.Nil(t, finite(math.NaN()))
	require.Equal(t, -60.0, *finite(-60))
	require.Nil(t, level(math.Inf(-1)))
	require.Nil(t, level(-313.1))
	require.Equal(t, -200.0, *level(-200))
}
