package study_test

import (
	"encoding/hex"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
)

// performanceOf reads a file of testdata/midi: bytes in hexadecimal, # begins a
// comment, and other lines say what its events are.
func performanceOf(t *testing.T, name string) study.Performance {
	t.Helper()
	text, err := os.ReadFile("../../testdata/midi/" + name + ".hex")
	require.NoError(t, err)
	var data []byte
	for line := range strings.Lines(string(text)) {
		if digits, _, _ := strings.Cut(line, "#"); !strings.HasPrefix(line, "=") {
			bytes, err := hex.DecodeString(strings.Join(strings.Fields(digits), ""))
			require.NoError(t, err)
			data = append(data, bytes...)
		}
	}
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	return study.Performance{Steps: song.Steps(midi.Order{}), End: song.Duration()}
}

// What becomes of each note of two files made by hand, on two voices without
// tails, by longest-idle and protect-outer; a minimum gate of 5 ms. Worked by hand
// from the rules: a voice that was never used comes first, then the one whose gate
// went low first.
func TestOddNotes(t *testing.T) {
	for name, want := range map[string]struct {
		notes               []string
		zero, orphan, stuck int
	}{
		"good-zero-length": {[]string{
			"60 0-5 V1 complete zero", // the minimum gate
			"62 100-200 V2 complete",  // never used
			"62 200-300 V1 complete",  // low since 5, the other since 200
			"64 400-400 V2 superseded zero",
			"64 400-500 V2 complete", // struck again, so the same voice
			"65 600-700 V1 complete", // low since 300, the other since 500
		}, 2, 1, 0},
		"good-unmatched-offs": {[]string{
			"60 10-100 V1 complete",
			"62 200-400 V2 complete", // an off of channel 2 is none of its
			"64 500-600 V1 superseded",
			"64 600-1000 V1 complete stuck", // of two ons only one had an off: to the end
		}, 0, 3, 1},
	} {
		r, err := study.Play(rig(2, 0, nil), performanceOf(t, name))
		require.NoError(t, err)
		var got []string
		for i := range r.Outcomes {
			n, o := &r.Reference.Notes[i], &r.Outcomes[i]
			text := fmt.Sprintf("%d %d-%d V%d %s", n.Key, n.Start.Milliseconds(), n.End.Milliseconds(), o.Voice+1, ending(o.Ending))
			if n.Zero {
				text += " zero"
			}
			if n.Stuck {
				text += " stuck"
			}
			got = append(got, text)
			require.Zero(t, o.Lost)
		}
		require.Equal(t, want.notes, got, name)
		tally := r.Rig.Tally
		require.Equal(t, []int{len(want.notes), want.zero, want.orphan, want.stuck, 0}, []int{tally.Notes, tally.Zero, tally.Orphan, tally.Stuck, tally.Damaged()}, name)
	}
}

func ending(e study.Ending) string {
	return map[study.Ending]string{study.Complete: "complete", study.Superseded: "superseded"}[e]
}
