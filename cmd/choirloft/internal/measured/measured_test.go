package measured

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

func rigOf(t *testing.T, text string) *profiles.Rig {
	t.Helper()
	rig, faults := profiles.Read("rig.yaml", []byte("rig: R\n"+text), nil)
	require.Empty(t, faults)
	return rig
}

// Voices that were turned are named one by one, in a row or by bank, each once, in the order of the rack.
func TestTurned(t *testing.T) {
	rig := rigOf(t, "banks: {K: {voices: 4}, L: {voices: 2}}\n")
	for _, row := range []struct {
		names []string
		want  []int
	}{
		{nil, nil},
		{[]string{"none"}, []int{}},
		{[]string{" None "}, []int{}},
		{[]string{"L2", "K1", "L2"}, []int{0, 5}},
		{[]string{"K2-K4"}, []int{1, 2, 3}},
		{[]string{"L", "K4"}, []int{3, 4, 5}},
	} {
		got, err := Turned(row.names, rig)
		require.NoError(t, err)
		require.Equal(t, row.want, got, row.names)
	}
	for text, says := range map[string]string{
		"banks: {K: {voices: 4}, L: {voices: 2}}\n": "--turned P1: the rig has no such voice, want K1 to L2, or none alone",
		"banks: {K: {voices: 1}}\n":                 "--turned P1: the rig has no such voice, want K1, or none alone",
	} {
		_, err := Turned([]string{"K1", "P1"}, rigOf(t, text))
		var e *Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, says, e.Message)
		require.NotEmpty(t, e.Hint)
	}
}

// A file is read by its ending, whatever its case; one that holds no readings says what it is or what there is.
func TestRead(t *testing.T) {
	rig := rigOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}}\n")
	readings, err := Read("a.CSV", []byte("voice,key,hertz\nK2,A4,441\n"), rig)
	require.NoError(t, err)
	require.Len(t, readings, 1)
	require.Equal(t, 1, readings[0].Voice)
	for name, says := range map[string]string{
		"a.mid":  "a.mid: this is a song, and a song goes with a take",
		"a.MIDI": "a.MIDI: this is a song, and a song goes with a take",
		"a.txt":  `a.txt: the ending ".txt" names no readings, there are .csv and .yaml`,
		"a":      `a: the ending "" names no readings, there are .csv and .yaml`,
	} {
		_, err := Read(name, nil, rig)
		require.EqualError(t, err, says)
	}
	_, err = Read("a.csv", []byte("voice,key,hertz\nP9,A4,441\n"), rig)
	var faults profiles.Faults
	require.True(t, errors.As(err, &faults))
	require.Equal(t, 2, faults[0].Pos.Line)
}
