package profiles

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const beforeCorrections = "rig: R   # the wall\n\n# two banks\nbanks:\n  L: {voices: 3}   # first B\n  K: {voices: 2}\n"

func edited(t require.TestingT, data string, corrections ...Correction) string {
	out, err := WithCorrections("rig.yaml", []byte(data), corrections, nil)
	require.NoError(t, err, data)
	return string(out)
}

func measured(voice int) Correction {
	residual := Cents(0.35)
	return Correction{Voice: voice, Offset: -0.0012, Scale: 1.0021, Measured: "2026-11-02", Residual: &residual}
}

const writtenMeasured = "{offset: -1.2 mV, scale: 1.0021, measured: 2026-11-02, residual: 0.35 cents}"

func TestCorrectionsAreSplicedIn(t *testing.T) {
	for _, c := range []struct{ name, before, after string }{
		{"none yet", beforeCorrections,
			beforeCorrections + "\ncorrections:\n  L1: " + writtenMeasured + "\n"},
		{"no line end at the end", strings.TrimSuffix(beforeCorrections, "\n"),
			beforeCorrections + "\ncorrections:\n  L1: " + writtenMeasured + "\n"},
		{"before the mark of the end", beforeCorrections + "...\n",
			beforeCorrections + "\ncorrections:\n  L1: " + writtenMeasured + "\n...\n"},
		{"lines ending in CR LF", strings.ReplaceAll(beforeCorrections, "\n", "\r\n"),
			strings.ReplaceAll(beforeCorrections+"\ncorrections:\n  L1: "+writtenMeasured+"\n", "\n", "\r\n")},
		{"a byte order mark", "\uFEFF" + beforeCorrections,
			"\uFEFF" + beforeCorrections + "\ncorrections:\n  L1: " + writtenMeasured + "\n"},
		{"all in brackets", "{rig: R, banks: {L: {voices: 3}, K: {voices: 2}}} # end\n",
			"{rig: R, banks: {L: {voices: 3}, K: {voices: 2}},\n  corrections: {L1: " + writtenMeasured + "}} # end\n"},
		{"another voice, in lines", beforeCorrections + "corrections:\n    K1: {offset: 1 mV}  # by hand\nmiddle_c: C4\n",
			beforeCorrections + "corrections:\n    K1: {offset: 1 mV}  # by hand\n    L1: " + writtenMeasured + "\nmiddle_c: C4\n"},
		{"another voice, in brackets", beforeCorrections + "corrections: {K1: {offset: 1 mV}}  # by hand\nmiddle_c: C4\n",
			beforeCorrections + "corrections: {K1: {offset: 1 mV},\n  L1: " + writtenMeasured + "}  # by hand\nmiddle_c: C4\n"},
		{"the same voice, in brackets", beforeCorrections + "corrections: {L1: { scale: 1.1,offset: 7.25 mV },  K2: {scale: 0.9}}  # 7\n",
			beforeCorrections + "corrections: {L1: { scale: 1.0021,offset: -1.2 mV, measured: 2026-11-02, residual: 0.35 cents },  K2: {scale: 0.9}}  # 7\n"},
		{"the same voice, in lines",
			beforeCorrections + "corrections:\n  L1:\n    scale: 1.1   # much\n    # by ear\n    offset: \"7 mV\"\n    drift: 1 cents\n  K2: {scale: 0.9}\n",
			beforeCorrections + "corrections:\n  L1:\n    scale: 1.0021   # much\n    # by ear\n    offset: -1.2 mV\n    measured: 2026-11-02\n    residual: 0.35 cents\n  K2: {scale: 0.9}\n"},
		{"points that are no longer", beforeCorrections + "corrections: {L1: {points: {1 V: 1 mV}, offset: 2 mV, drift: 3 cents}}\n",
			beforeCorrections + "corrections: {L1: {offset: -1.2 mV, scale: 1.0021, measured: 2026-11-02, residual: 0.35 cents}}\n"},
		{"an empty one", beforeCorrections + "corrections: {L1: {}}\n",
			beforeCorrections + "corrections: {L1: {offset: -1.2 mV, scale: 1.0021, measured: 2026-11-02, residual: 0.35 cents}}\n"},
		{"quotes and brackets in comments", beforeCorrections + "corrections: {K1: {offset: 1 mV}, # don't: {\n  \"K2\": {offset: '1 mV'}}\n",
			beforeCorrections + "corrections: {K1: {offset: 1 mV}, # don't: {\n  \"K2\": {offset: '1 mV'},\n  L1: " + writtenMeasured + "}\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.after, edited(t, c.before, measured(0)))
			require.Equal(t, c.after, edited(t, c.after, measured(0)), "once more changes nothing")
		})
	}
}

func TestPointsAreSplicedIn(t *testing.T) {
	c := measured(4)
	c.Points = []CorrectionPoint{{0, 0}, {2.00002, -0.00312}, {5, 0.001}}
	require.Equal(t, beforeCorrections+"\ncorrections:\n  K2: {offset: -1.2 mV, scale: 1.0021, measured: 2026-11-02, residual: 0.35 cents, "+
		"points: {0 V: 0 mV, 2.00002 V: -3.12 mV, 5 V: 1 mV}}\n", edited(t, beforeCorrections, c))
}

// What would cost a comment is refused, with what to write instead.
func TestCommentsAreNotLost(t *testing.T) {
	for _, data := range []string{
		"corrections:\n  L1:\n    drift: 1 cents   # after an hour\n",
		"corrections: {L1: {drift: 1 cents, # after an hour\n  points: {1 V: 1 mV, # measured\n  2 V: 2 mV}}}\n",
	} {
		_, err := WithCorrections("rig.yaml", []byte(beforeCorrections+data), []Correction{measured(0)}, nil)
		require.ErrorContains(t, err, "a comment in line ")
		require.ErrorContains(t, err, "write this by hand: corrections: {L1: "+writtenMeasured+"}")
	}
}

func TestFaultyRigsAreNotEdited(t *testing.T) {
	_, err := WithCorrections("rig.yaml", []byte("rig: R\n"), nil, nil)
	require.ErrorContains(t, err, "rig.yaml:1:1: banks is missing")
}

// TestEditsKeepTheRest: taking away what was put in gives the file back, for
// the rigs of testdata and any set of voices.
func TestEditsKeepTheRest(t *testing.T) {
	var files []string
	for _, name := range []string{"kiln-yard.yaml", "rigs/small-wall.yaml", "rigs/two-shelves.yaml", "rigs/starter.yaml"} {
		data, err := os.ReadFile("../testdata/" + name)
		require.NoError(t, err)
		files = append(files, string(data))
	}
	added := regexp.MustCompile(`\ncorrections:\n(?:  [A-Za-z]+[0-9]+: \{.*\}\n)+$`)
	comments := regexp.MustCompile(`#.*`)
	rapid.Check(t, func(t *rapid.T) {
		data := rapid.SampledFrom(files).Draw(t, "file")
		rig, faults := Read("rig.yaml", []byte(data), nil)
		require.Empty(t, faults)
		var all []Correction
		for i := range rig.Voices {
			if rapid.Bool().Draw(t, "measured") {
				c := Correction{Voice: i, Scale: float64(rapid.IntRange(50_000, 200_000).Draw(t, "scale")) / 1e5,
					Offset: Volts(rapid.IntRange(-100_000, 100_000).Draw(t, "offset")) / 1e5}
				all = append(all, c)
			}
		}
		once := edited(t, data, all...)
		if len(all) > 0 {
			require.Equal(t, data, added.ReplaceAllString(once, ""))
		}
		// a second measurement changes numbers alone
		for i := range all {
			all[i].Scale = 1.5
		}
		twice := edited(t, once, all...)
		require.Equal(t, comments.FindAllString(once, -1), comments.FindAllString(twice, -1))
		require.Equal(t, strings.Count(once, "\n"), strings.Count(twice, "\n"))
		again, faults := Read("rig.yaml", []byte(twice), nil)
		require.Empty(t, faults)
		for i, c := range again.Corrections {
			require.Equal(t, fmt.Sprint(all[i].Voice, all[i].Offset), fmt.Sprint(c.Voice, c.Offset))
		}
	})
}

func TestFileWithCorrections(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, os.WriteFile(path, []byte(beforeCorrections), 0o600))
	f, err := Open(path)
	require.NoError(t, err)
	after, err := f.WithCorrections([]Correction{measured(0)})
	require.NoError(t, err)
	require.Len(t, after.Rig.Corrections, 1)
	require.NotEqual(t, f.Rig.Fingerprint(), after.Rig.Fingerprint())
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, beforeCorrections, string(now), "it is not on the disk yet")
}
