package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// lettersRig has a name of each kind that stands on a sheet.
const lettersRig = `rig: Yard
interfaces: {main: {profile: cv32-gate32, connector: 8}}
sequencers: {seq: {parts: 4, window: 0 V to 5 V}}
banks: {K: {voices: 2, row: 1, hp: 20, ma: {+12: 100}}, L: {voices: 2}}
macros: {bite: {from: CC 74 on 16, to: [K.level, L.level]}}
parts: {pad: {channel: 1, unison: {voices: 2}}, bass: {channel: 2}}
gear: {mixer: {inputs: 8, row: 6, hp: 30, ma: {+12: 210}}}
supplies: {one: {+12: 3 A, feeds: [K, mixer]}}
set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K, 2: L}, pitches: multiples, gates: multiples}}
`

// A name in letters that the font lacks is a finding with a way out, and no PDF is
// written; what takes its letters from the system is, and has them.
func TestLettersThatTheFontLacks(t *testing.T) {
	corpora.Patient(t)
	dir := t.TempDir()
	run := func(args ...string) (int, string) {
		var out, complaints bytes.Buffer
		status := Run(context.Background(), args, strings.NewReader(""), &out, &complaints)
		return status, out.String() + complaints.String()
	}
	rig := filepath.Join(dir, "rig.yaml")
	for _, name := range []string{"", "Yard", "main", "seq", "K", "bite", "pad", "mixer", "one", "stage"} {
		text := lettersRig
		if name != "" {
			text = strings.NewReplacer(" "+name+"\n", " 炉\n", "{"+name+":", "{炉:", "["+name+",", "[炉,", " "+name+"}", " 炉}", " "+name+"]", " 炉]",
				" "+name+":", " 炉:", " "+name+",", " 炉,", "["+name+".", "[炉.").Replace(text)
			require.NotEqual(t, lettersRig, text, name)
		}
		require.NoError(t, os.WriteFile(rig, []byte(text), 0o666))
		_, said := run("check", rig)
		require.Equal(t, name != "", strings.Contains(said, "the font of sheets and pictures lacks letters of 炉: 炉"), "%s: %s", name, said)
		sheet := filepath.Join(dir, "sheet"+name+".pdf")
		status, said := run("map", rig, "-o", sheet)
		if name == "" {
			require.Equal(t, exitFine, status, said)
			require.NoError(t, os.Remove(sheet))
			continue
		}
		if name != "mixer" && name != "one" { // which stand in findings alone
			require.Equal(t, exitUsage, status, "%s: %s", name, said)
			require.Contains(t, said, "the font lacks letters of ")
			require.Contains(t, said, "write .html, .svg, .md or .txt")
			require.NoFileExists(t, sheet)
		}
		for _, ending := range []string{".html", ".svg"} {
			file := filepath.Join(dir, "sheet"+ending)
			status, said := run("map", rig, "-o", file)
			require.Equal(t, exitFine, status, said)
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			require.NotContains(t, string(data), "□")
			if name != "mixer" && name != "one" {
				require.Contains(t, string(data), "炉")
			}
		}
	}
}
