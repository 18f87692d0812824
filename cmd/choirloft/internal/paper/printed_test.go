package paper

import (
	"html"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/draw"
)

// printedPage is what lies on a page, read from the pictures or by poppler from the PDF.
type printedPage struct {
	width, height float64 // mm
	words         []printedWord
	squashed      string // all words without the spaces between them, in the order in which they were drawn
}

// printedWord is a word or a line, and what its capitals fill in mm: from the baseline up.
type printedWord struct {
	text                     string
	left, top, right, bottom float64
	size                     float64 // of the em
}

// capital is the height of DejaVu's capitals in ems (its OS/2 table: 1493 of 2048); its
// lines are from 0.928 above the baseline to 0.236 below (its hhea table: 1901 and 483).
const capital, lineUp, lineDown = 1493.0 / 2048, 1901.0 / 2048, 483.0 / 2048

func (p *printedPage) add(w printedWord) {
	p.words = append(p.words, w)
	p.squashed += squash(w.text)
}

// fields are the words of a page between spaces.
func (p *printedPage) fields() (all []string) {
	for i := range p.words {
		all = append(all, strings.Fields(p.words[i].text)...)
	}
	return all
}

var numbered = regexp.MustCompile(`^(\(\d+\)):?[\pL\d]`)

// shortened is the number in brackets that a field has for a name: (2) of (2)12 or (1):cv3;
// empty for what has none, such as the key in C4 (60).
func shortened(field string) string {
	if m := numbered.FindStringSubmatch(field); m != nil {
		return m[1]
	}
	return ""
}

// keys are what the numbers on a page stand for, as in (2) is North.
func (p *printedPage) keys() map[string]string {
	keys, all := map[string]string{}, p.fields()
	for i := range max(0, len(all)-2) {
		if strings.HasPrefix(all[i], "(") && all[i+1] == "is" {
			keys[all[i]] = all[i+2]
		}
	}
	return keys
}

// squash takes the spaces out of a text.
func squash(s string) string { return strings.Join(strings.Fields(s), "") }

// ofPictures is what the pictures of pages say of themselves.
func ofPictures(pictures []*draw.Picture) (pages []printedPage) {
	for _, p := range pictures {
		page := printedPage{width: p.Width, height: p.Height}
		for _, x := range p.Texts() {
			base := x.Top + 0.93*x.Size
			page.add(printedWord{x.Text, x.Left, base - capital*x.Size, x.Right, base, x.Size})
		}
		pages = append(pages, page)
	}
	return pages
}

// ofPDF is what poppler reads from a file, in points of 1/72 inch (ISO 32000-1, 8.3.2.3).
// It has a line for each page and each word, with attributes in quotes: sides, or left,
// top, right and bottom.
func ofPDF(t testing.TB, file []byte) (pages []printedPage) {
	for line := range strings.Lines(tool(t, file, "pdftotext", "-raw", "-bbox", "FILE", "-")) {
		tag, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		if tag != "<page" && tag != "<word" {
			continue
		}
		quoted := strings.Split(rest, `"`)
		var mm [4]float64
		for i := range len(quoted) / 2 {
			points, err := strconv.ParseFloat(quoted[2*i+1], 64)
			require.NoError(t, err, line)
			mm[i] = points * 25.4 / 72
		}
		if tag == "<page" {
			pages = append(pages, printedPage{width: mm[0], height: mm[1]})
			continue
		}
		text, _, _ := strings.Cut(strings.TrimPrefix(quoted[len(quoted)-1], ">"), "<")
		size := (mm[3] - mm[1]) / (lineUp + lineDown)
		base := mm[1] + lineUp*size
		pages[len(pages)-1].add(printedWord{html.UnescapeString(text), mm[0], base - capital*size, mm[2], base, size})
	}
	require.NotEmpty(t, pages)
	return pages
}

// overlap is a pair of texts of which one lies over the other: their capitals share more
// than a hair.
func (p *printedPage) overlap() (a, b printedWord, found bool) {
	const hair = 0.1
	words := slices.Clone(p.words)
	slices.SortFunc(words, func(a, b printedWord) int { return int(math.Copysign(1, a.top-b.top)) })
	for i, a := range words {
		for _, b := range words[i+1:] {
			if b.top > a.bottom-hair {
				break
			}
			if a.left < b.right-hair && b.left < a.right-hair {
				return a, b, true
			}
		}
	}
	return a, b, false
}

// hasBar tells whether a stream draws a level line of 100 mm, to a fiftieth of a point:
// from a point to another, each on a line of its own (ISO 32000-1, 8.5.2).
func hasBar(stream string) bool {
	var from []string
	for line := range strings.Lines(stream) {
		to := strings.Fields(line)
		if len(to) == 3 && to[2] == "l" && len(from) == 3 && from[2] == "m" && from[1] == to[1] {
			x0, _ := strconv.ParseFloat(from[0], 64)
			x1, _ := strconv.ParseFloat(to[0], 64)
			if math.Abs(x1-x0-100*72/25.4) < 0.02 {
				return true
			}
		}
		from = to
	}
	return false
}
