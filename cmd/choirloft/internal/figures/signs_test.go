package figures

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A sign is the piece of a name that no other has, and never what reads as another part or a note.
func TestSigns(t *testing.T) {
	for names, want := range map[string]string{
		"MIDI-01 MIDI-05 MIDI-06 MIDI-11 MIDI-13": "01 05 06 11 13",
		"MIDI-Ch-3 MIDI-Ch-11":                    "3 11",
		"pad bass arp lead":                       "pa ba ar le",
		"strings stabs choir":                     "str sta ch",        // st begins both
		"lead2 lead3 brass2":                      "lead2 3 br",        // 2 is a number of two
		"line-5 line-05 horn":                     "line-5 line-05 ho", // and 05 is 5
		"lead leader":                             "lead leade",        // lead begins leader too, so that is its whole name
		"E MIDI-E":                                "E MI",              // E alone reads as a key; of a part so called it is the name
	} {
		require.Equal(t, strings.Fields(want), signsOf(strings.Fields(names)), names)
	}
}

// Of parts with different names no two have the same sign.
func TestSignsDiffer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfNDistinct(rapid.StringMatching(`[a-c]{1,3}(-[a-c0-1]{1,2})?`), 1, 9, rapid.ID[string]).Draw(t, "names")
		seen := map[string]bool{}
		for _, sign := range signsOf(names) {
			require.False(t, seen[strings.ToLower(sign)], "%s of %v", sign, names)
			seen[strings.ToLower(sign)] = true
		}
	})
}
