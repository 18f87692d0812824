package cli

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/cables"
)

// declared finds the families that a text asks for: in CSS (font, font-family),
// in SVG (font-family="…") and in scripts (font = '…').
var declared = regexp.MustCompile(`font-family="([^"]*)"|font(?:-family)?: *([^;}"]*(?:"[^"]*"[^;}"]*)*)[;}]|\.font = '([^']*)'`)

// aSize is what stands before the families in the shorthand of CSS.
var aSize = regexp.MustCompile(`^(?:\d*\.?\d+(?:px|pt|rem|em)(?:/[\d.]+)? +)`)

// families lists what a text asks for, each by its name alone.
func families(text string) (all []string) {
	for _, m := range declared.FindAllStringSubmatch(text, -1) {
		for one := range strings.SplitSeq(aSize.ReplaceAllString(m[1]+m[2]+m[3], ""), ",") {
			if one = strings.Trim(one, ` '"`); one != "inherit" {
				all = append(all, one)
			}
		}
	}
	return all
}

// embedded finds the fonts that a PDF names (ISO 32000-1, 9.6.2 and 9.8), those
// that every reader has with them too.
var embedded = regexp.MustCompile(`/(?:BaseFont|FontName) */(\S+)`)

// No cable can be read as a voice or a key, and no bank as a key, in any rig of
// testdata, good or bad. Keys as people write them: a letter, perhaps a sharp or a
// flat, an octave; H is B where B is B flat.
func TestNamesAreNotMistaken(t *testing.T) {
	key := regexp.MustCompile(`^[A-Ha-h](?:[#♯b♭]|is|es|s)?-?\d+$`)
	for _, name := range []string{"C2", "F#3", "Bb-1", "h1", "es4"} {
		require.Regexp(t, key, name)
	}
	rigs, cabled := 0, 0
	require.NoError(t, filepath.WalkDir(top+"/testdata/rigs", func(file string, d fs.DirEntry, err error) error {
		if err != nil || path.Ext(file) != ".yaml" {
			return err
		}
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, bank := range banksIn(data) {
			rigs++
			require.NotRegexp(t, key, bank+"1", file)
		}
		rig, err := profiles.Load(file)
		if err != nil {
			return nil // a bad rig has no cables
		}
		voices := map[string]bool{}
		for _, v := range rig.Voices {
			voices[v.Name] = true
		}
		names := map[string]bool{}
		for _, c := range cables.List(routing.NewMap(rig)) {
			cabled++
			require.False(t, voices[c.Name], "%s: %s is a cable and a voice", file, c.Name)
			require.False(t, names[c.Name], "%s: %s is two cables", file, c.Name)
			require.NotRegexp(t, key, c.Name, file)
			names[c.Name] = true
		}
		return nil
	}))
	require.Greater(t, rigs, 100)
	require.Greater(t, cabled, 200)
}

// banksIn lists the names of the banks of a rig file, with faults or not; none of
// one that is no YAML.
func banksIn(data []byte) (names []string) {
	var rig struct{ Banks yaml.Node }
	if yaml.Unmarshal(data, &rig) != nil || rig.Banks.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i < len(rig.Banks.Content); i += 2 {
		names = append(names, rig.Banks.Content[i].Value)
	}
	return names
}

// Nothing that is written, and nothing that the page brings, asks for a font by a
// maker's name: only for the one that is embedded, and what stands for any.
func TestFonts(t *testing.T) {
	require.Equal(t, []string{"Some Font", "Other", "serif", "A", "B", "C"},
		families(`{ font: 12px/1.5 "Some Font", Other, serif; font: inherit; } <svg font-family="'A',B"> g.font = '11px C';`))
	ours := map[string]bool{"DejaVu Sans Condensed": true, "DejaVu Sans": true, "sans-serif": true, "system-ui": true, "monospace": true}
	seen := map[string]int{}
	for name, text := range repository(t) {
		switch ending := path.Ext(name); ending {
		case ".svg", ".html", ".css", ".js":
			for _, family := range families(text) {
				require.True(t, ours[family], "%s asks for %q", name, family)
				seen[ending]++
			}
		}
	}
	for _, ending := range []string{".svg", ".html", ".css", ".js"} {
		require.Positive(t, seen[ending], ending)
	}
	papers, err := filepath.Glob(filepath.Join(goldens, "*.pdf"))
	require.NoError(t, err)
	require.Len(t, papers, 4)
	for _, name := range papers {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		fonts := embedded.FindAllStringSubmatch(string(data), -1)
		require.NotEmpty(t, fonts)
		for _, font := range fonts {
			require.Contains(t, []string{"utf8dejavusanscondensed", "utf8dejavusanscondensedB"}, font[1], name)
		}
	}
}

// No colour stands for a kind of signal: on the sheet of a bank with pitches, gates,
// a control and a macro there is one colour besides the accent, and one more for a
// second bank.
func TestColoursTellBanks(t *testing.T) {
	const one = "rig: R\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, lanes: [cutoff]}%s}\nmacros: {bite: {from: CC 74 on 16, to: K.level}}\n"
	for more, want := range map[string][]string{
		"":                                  {"#7a4a21"},
		", L: {voices: 2, lanes: [cutoff]}": {"#7a4a21", "#d02828"},
		", L: {voices: 1}, M: {voices: 1}":  {"#7a4a21", "#d02828", "#f08a1d"},
		", L: {voices: 2, colour: blue, out: [2]}": {"#2a62c9", "#7a4a21"},
		", L: {voices: 1, colour: white}":          {"#7a4a21"},
	} {
		dir := t.TempDir()
		rig, sheet := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "sheet.svg")
		require.NoError(t, os.WriteFile(rig, fmt.Appendf(nil, one, more), 0o666))
		got := run(t, "", "map", rig, "-o", sheet)
		require.Equal(t, exitFine, got.status, got.stderr)
		svg, err := os.ReadFile(sheet)
		require.NoError(t, err)
		require.Equal(t, want, coloured(string(svg)), more)
	}
}

// coloured lists the fills of a picture that are neither greys nor the accent and
// its fields.
func coloured(svg string) []string {
	all := map[string]bool{}
	for _, m := range regexp.MustCompile(`fill="(#(..)(..)(..))"`).FindAllStringSubmatch(svg, -1) {
		var parts []int64
		for _, hex := range m[2:] {
			n, _ := strconv.ParseInt(hex, 16, 0)
			parts = append(parts, n)
		}
		if slices.Max(parts)-slices.Min(parts) > 30 && m[1] != "#b03414" && m[1] != "#f6ded2" {
			all[m[1]] = true
		}
	}
	return slices.Sorted(maps.Keys(all))
}

// Flags are made for the cables there are: from 2 to 8 mm, and only where they are printed.
func TestCableFlag(t *testing.T) {
	for typed, want := range map[string]string{
		"1.9 mm": `--cable 1.9 mm: found "1.9 mm", want a diameter from 2 mm to 8 mm, such as 4 mm`,
		"NaN":    `--cable NaN: found "NaN", want a diameter from 2 mm to 8 mm, such as 4 mm`,
		"4 mm":   "--cable is for the flags of a sheet",
	} {
		got := run(t, "", "map", demoRig, "--cable", typed)
		require.Equal(t, exitUsage, got.status)
		require.Contains(t, got.stderr, "choirloft: "+want+"\n")
	}
	file := filepath.Join(t.TempDir(), "sheet.svg")
	got := run(t, "", "map", demoRig, "--cable", "6 mm", "-o", file)
	require.Equal(t, exitFine, got.status, got.stderr)
	sheet, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(sheet), "for cables of 6 mm.")
}
