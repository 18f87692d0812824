package midi

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestKeyNames(t *testing.T) {
	for _, row := range []struct {
		key     Key
		middleC int
		want    string
	}{
		{60, 4, "C4"}, {60, 3, "C3"}, {61, 4, "C#4"}, {0, 4, "C-1"}, {0, 3, "C-2"},
		{127, 4, "G9"}, {69, 4, "A4"}, {59, 4, "B3"}, {36, 4, "C2"},
	} {
		require.Equal(t, row.want, row.key.Name(row.middleC))
	}
	for middleC := 3; middleC <= 5; middleC++ {
		for k := range Key(128) {
			got, err := ParseKey(k.Name(middleC), middleC)
			require.NoError(t, err)
			require.Equal(t, k, got)
		}
	}
}

func TestParseKey(t *testing.T) {
	for text, want := range map[string]Key{
		"60": 60, "0": 0, "127": 127, "010": 10,
		"c4": 60, "Db4": 61, "bb3": 58, "b3": 59, "Cb4": 59, "B#3": 60, "F##4": 67, "Ebb4": 62,
	} {
		got, err := ParseKey(text, 4)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
	for text, want := range map[string]string{
		"":     `key "": expected a number 0–127 or a name such as C4`,
		"C4b":  `key "C4b": expected a number 0–127 or a name such as C4`,
		"H4":   `key "H4": expected a number 0–127 or a name such as C4`,
		"C":    `key "C": expected a number 0–127 or a name such as C4`,
		"C+4":  `key "C+4": expected a number 0–127 or a name such as C4`,
		"+60":  `key "+60": expected a number 0–127 or a name such as C4`,
		"C###": `key "C###": expected a number 0–127 or a name such as C4`,
		"128":  `key "128" is outside 0–127 (C-1 to G9)`,
		"-1":   `key "-1" is outside 0–127 (C-1 to G9)`,
		"G#9":  `key "G#9" is outside 0–127 (C-1 to G9)`,
		"Cb-1": `key "Cb-1" is outside 0–127 (C-1 to G9)`,
	} {
		_, err := ParseKey(text, 4)
		require.EqualError(t, err, want)
	}
}

// IEC 63035: status 92h is for channel 3.
func TestChannelAndPort(t *testing.T) {
	require.Equal(t, "3", Event{Status: 0x92}.Channel().String())
	require.Equal(t, "1", Channel(0).String())
	require.Equal(t, "16", Channel(15).String())
	require.Equal(t, "1", Port(0).String())
	require.Equal(t, "128", Port(127).String())
	require.Equal(t, NoteOn, Event{Status: 0x92}.Kind())
}
