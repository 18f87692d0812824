package draw

import (
	"bytes"
	"encoding/json"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The outline, as qpdf reads it, goes to the page of a section and to its height there, on pages of any
// height: from the bottom, in points of 1/72 inch (ISO 32000-1, 12.3.2.2 and 8.3.2.3).
func TestOutlineGoesToSections(t *testing.T) {
	a4, flat := New(210, 297), New(297, 210)
	a4.Section(1, 0, "part of none")
	a4.Section(0, 27, "Höhe")
	a4.Section(1, 43.2, "part")
	flat.Section(1, 10, "part over the page")
	flat.Section(0, 57.6, "last")
	type item struct {
		Title string
		Page  int `json:"destpageposfrom1"`
		Dest  []any
		Kids  []item
	}
	var read struct{ Outlines []item }
	require.NoError(t, json.Unmarshal([]byte(tool(t, pdfOf(t, a4, flat), "qpdf", "--json", "--json-key=outlines", "FILE")), &read))
	var flatten func(list []item, level int)
	type place struct {
		title       string
		level, page int
		y           float64
	}
	var got []place
	flatten = func(list []item, level int) {
		for _, x := range list {
			require.Equal(t, "/XYZ", x.Dest[1])
			got = append(got, place{x.Title, level, x.Page, x.Dest[3].(float64)})
			flatten(x.Kids, level+1)
		}
	}
	flatten(read.Outlines, 0)
	require.Equal(t, []place{
		{"part of none", 0, 1, 841.89},       // 297 mm
		{"Höhe", 0, 1, 765.35},               // 270 mm
		{"part", 1, 1, 719.43},               // 253.8 mm
		{"part over the page", 1, 2, 566.93}, // 200 mm
		{"last", 0, 2, 432},                  // 152.4 mm, 6 inches
	}, got)
	require.Empty(t, pdfOutline(t, New(10, 10)))
}

// pdfOutline is the outline of a file with a picture.
func pdfOutline(t *testing.T, p *Picture) []any {
	var read struct{ Outlines []any }
	require.NoError(t, json.Unmarshal([]byte(tool(t, pdfOf(t, p), "qpdf", "--json", "--json-key=outlines", "FILE")), &read))
	return read.Outlines
}

// Letters far from each other in the font stand in a file as they are, and are read back.
func TestRareLetters(t *testing.T) {
	p := New(100, 40)
	p.Text(10, 10, "Wall Щ Ω ½", Type{Size: 10})
	p.Text(10, 30, "Θ bold", Type{Size: 10, Bold: true})
	text := tool(t, pdfOf(t, p), "pdftotext", "-layout", "FILE", "-")
	for _, want := range []string{"Wall Щ Ω ½", "Θ bold"} {
		require.Contains(t, text, want)
	}
}

// A file is the same whether its fonts were read ahead or not, and beside others that are made at the same time; one
// with rare letters leaves what was read ahead to the next.
func TestReadAhead(t *testing.T) {
	usual, rare := New(100, 40), New(100, 40)
	usual.Text(10, 10, "Höhe −6 ¢", Type{Size: 10})
	usual.Text(10, 20, "C♯ ½", Type{Size: 10, Bold: true})
	rare.Text(10, 10, "Щ", Type{Size: 10})
	files := map[string]*Picture{"usual": usual, "rare": rare}
	want := map[string][]byte{}
	for name, p := range files {
		ahead.Store(nil)
		want[name] = pdfOf(t, p)
	}
	ReadAhead()
	require.Equal(t, want["rare"], pdfOf(t, rare))
	require.NotNil(t, ahead.Load())
	require.Equal(t, want["usual"], pdfOf(t, usual))
	require.Nil(t, ahead.Load())
	var all sync.WaitGroup
	for range 4 {
		for name, p := range files {
			all.Go(func() {
				var b bytes.Buffer
				ReadAhead()
				assert.NoError(t, PDF(&b, About{Title: "sample"}, p))
				assert.Equal(t, want[name], b.Bytes())
			})
		}
	}
	all.Wait()
}
