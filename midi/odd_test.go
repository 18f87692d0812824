package midi

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Two files made by hand, and the steps that they become, worked by hand too: a
// note-off ends an earlier note of its key before one that begins at its own
// instant; a note without length ends right behind its beginning; a note-on of
// velocity 0 is a note-off of velocity 64 (MIDI 1.0). What becomes of the notes is
// tested in alloc/study.
func TestOddNotes(t *testing.T) {
	for name, want := range map[string][]string{
		"good-zero-length": {
			"0 on 1 60 64 zero", "0 off 1 60 64 zero",
			"100 on 1 62 64", "200 off 1 62 64", "200 on 1 62 80", "300 off 1 62 64",
			"400 on 1 64 64 zero", "400 off 1 64 64 zero", "400 on 1 64 96", "500 off 1 64 64",
			"600 off 1 65 64", "600 on 1 65 64", "700 off 1 65 64",
		},
		"good-unmatched-offs": {
			"0 off 1 60 64", "10 on 1 60 64", "100 off 1 60 64", "110 off 1 60 64",
			"200 on 1 62 64", "300 off 2 62 64", "400 off 1 62 64",
			"500 on 1 64 64", "600 on 1 64 80", "700 off 1 64 64",
		},
	} {
		data := loadFixtures(t, name)[0].data
		song := mustRead(t, data)
		require.Equal(t, want, stepTexts(song.Steps(Order{})), name)
		require.Empty(t, song.Warnings.List, "the file itself is whole")
		require.Equal(t, int64(1000), song.Duration().Milliseconds())
		requireLikeGomidi(t, song, data)
	}
}
