package say

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRestOfAUnison(t *testing.T) {
	u := unison{&chartOf(t, "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}}\n"+
		"parts: {p: {unison: {voices: 3, spread: 20 cents, law: even}}}\n").Unisons[0]}
	require.Equal(t, []string{"Stacks 1: K1 K2 K3; idle: K4.",
		"Evenly spaced: at " + u.Keys[1].KeyName + " all voices beat together, every " + period(u.Throb.PeriodS) + "."}, u.rest())
}

// Positions stand beside each other up to six, below each other from seven on;
// then there is a column of beats a key, and none for pairs.
func TestTablesOfUnisons(t *testing.T) {
	for voices, want := range map[string][2]int{"4": {2, 1 + 6 + 2}, "6": {2, 1 + 5 + 2}, "7": {7, 1 + 2}, "64": {64, 1 + 2}} {
		u := unison{&chartOf(t, "interfaces: {main: {profile: cv64-gate64}}\nbanks: {K: {voices: 64}}\nparts: {p: {unison: {voices: "+voices+", law: golden}}}\n").Unisons[0]}
		require.Len(t, u.positions().Groups[0].Rows, want[0], voices)
		require.Len(t, u.beats().Columns, want[1], voices)
		require.Len(t, u.beats().Groups[0].Rows, 3, "a low, a middle and a high key")
	}
}

// Who does not see the picture of a unison is told its figures. Even over 20 cents, three stand at -10, 0 and
// 10; at F#4, 440 · 2^(-3/12) = 369.99 Hz, the upper two beat 369.99 · (2^(10/1200) - 1) = 2.14 times a second.
func TestFiguresOfAUnison(t *testing.T) {
	c := chartOf(t, "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}}\nparts: {p: {unison: {voices: 3, spread: 20 cents, law: even}}}\n")
	told := UnisonFigures(&c.Unisons[0])
	require.Contains(t, told, "Detune in cents, from position 1: -10.0, 0.0, +10.0. Pan: ")
	require.Contains(t, told, " Beats, Hz at F#4 (66): 1-2 2.13, 2-3 2.14, outermost 4.27.")
}

// The slowest swell of 9.995 s and more is told to 0.1 s.
func TestPeriod(t *testing.T) {
	for s, want := range map[float64]string{0.5: "500 ms", 9.994: "9.99 s", 9.996: "10.0 s", 13.25: "13.3 s"} {
		require.Equal(t, want, period(s))
	}
}

// Voices on one pitch jack have one pitch: nobody is told of a spread that no voice has.
func TestUnisonOnOneJack(t *testing.T) {
	c := chartOf(t, "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}}\nparts: {stack: {unison: {voices: 4}}}\nwiring:\n  - {from: main.cv 1, through: passive, to: K.pitch}\n")
	require.Len(t, c.Unisons, 1)
	require.Contains(t, unison{&c.Unisons[0]}.head(), ": 4 voices on a note, all at one pitch. The rig asks for 12.0 cents, but")
}
