package paper

import (
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/routing/plan"
)

// Pages of racks as poppler counts them, those of the sheet and those of its flags: no more
// than a rack of its size may fill, and no more than there are now.
func TestPagesOfRacks(t *testing.T) {
	wall := func(banks int) *contract.Sheet {
		rig := "rig: Wall\ninterfaces: {main: {profile: cv32-gate32, cv: 384, gates: 256, ports: 32}}\nbanks:\n"
		for i := range banks {
			rig += fmt.Sprintf("  %c%c: {voices: 8, lanes: [cutoff]}\n", 'K'+i/16, 'a'+i%16)
		}
		return sheetOf(t, []byte(rig), plan.Overrides{})
	}
	read := func(file string) *contract.Sheet {
		text, err := os.ReadFile("../../../../testdata/" + file)
		require.NoError(t, err)
		return sheetOf(t, text, plan.Overrides{})
	}
	for _, x := range []struct {
		name         string
		sheet        *contract.Sheet
		pages, flags int
	}{
		{"one voice", sheetOf(t, []byte("rig: One\ninterfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 1}}\n"), plan.Overrides{}), 1, 1},
		{"small", read("rigs/starter.yaml"), 1, 1},
		{"demo", read("kiln-yard.yaml"), 3, 2},
		{"full", read("rigs/full.yaml"), 5, 3},
		{"64 voices", wall(8), 3, 4},
		{"256 voices", wall(32), 15, 16},
	} {
		file := pdfOf(t, x.sheet, Options{})
		counted, err := strconv.Atoi(regexp.MustCompile(`Pages: +(\d+)`).FindStringSubmatch(tool(t, file, "pdfinfo", "FILE"))[1])
		require.NoError(t, err)
		flags := 0
		for _, p := range pagesOf(x.sheet, Options{}) {
			if strings.Contains(p.Title, "labels") {
				flags++
			}
		}
		t.Logf("%s: %d+%d pages", x.name, counted-flags, flags)
		assert.LessOrEqual(t, counted-flags, x.pages, x.name)
		assert.LessOrEqual(t, flags, x.flags, x.name)
	}
}

// A command is broken between its flags, never between a flag and its value or within quotes.
func TestCommandsAreFoldedBetweenFlags(t *testing.T) {
	kind := draw.Type{Size: remark}
	const command = "choirloft replay kiln-yard.yaml slow-kiln.mid --voices 10 --without K1 --steal oldest --dry --unison 'pad = 4 voices' -o x.pdf"
	width := draw.Width("choirloft replay kiln-yard.yaml slow-kiln.mid --voices", kind) + 0.1
	require.Equal(t, []string{"choirloft replay kiln-yard.yaml slow-kiln.mid", "--voices 10 --without K1 --steal oldest --dry", "--unison 'pad = 4 voices' -o x.pdf"}, foldCommand(command, width, kind))
	for width := 10.0; width < 250; width++ {
		lines := foldCommand(command, width, kind)
		require.Equal(t, strings.ReplaceAll(command, " ", ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""))
		for _, line := range lines {
			require.LessOrEqual(t, draw.Width(line, kind), width)
		}
	}
}
