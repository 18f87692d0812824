package cli

import (
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
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
	papers, err := filepath.Glob("testdata/*.pdf")
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
