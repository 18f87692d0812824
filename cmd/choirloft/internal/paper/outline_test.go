package paper

import (
	"html"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The outline of a sheet, as poppler reads it, names each section once, in the order of
// its pages, and the file says its language (ISO 32000-1, 12.3.3 and 14.9.2).
func TestOutline(t *testing.T) {
	file := pdfOf(t, largeSheet(t), Options{})
	require.Contains(t, string(file), "/Lang (en)")
	out := tool(t, file, "pdftohtml", "-xml", "-i", "-stdout", "FILE")
	var names, pages []string
	for _, m := range regexp.MustCompile(`<item page="(\d+)">([^<]*)</item>`).FindAllStringSubmatch(out, -1) {
		names, pages = append(names, html.UnescapeString(m[2])), append(pages, m[1])
	}
	require.Equal(t, []string{"Rack door", "Before you plug", "Findings", "Jack to voice: left", "Jack to voice: the-one-on-the-right-hand-side",
		"Voice to jack and cable", "Bank K", "Bank L", "Bank Très-long-bank-nâme-that-goes-on", "Bank Печь", "Bank Ω-a-second-long-name", "Bank Q", "Bank R", "Bank S",
		"Unison of pad", "Unison of lead-with-a-very-long-name-indeed", "Free jacks and multiples",
		"Room to grow", "Tuning error, in cents, at the worst key", "Cables", "Cable labels to cut out"}, names)
	texts := strings.Split(tool(t, file, "pdftotext", "FILE", "-"), "\f") // ends each page
	for i, page := range pages[1 : len(pages)-1] {                        // the door and the labels have no such line
		n, err := strconv.Atoi(page)
		require.NoError(t, err)
		require.Contains(t, strings.Join(strings.Fields(texts[n-1]), " "), names[i+1], "page %s", page)
	}
}
