package draw

import (
	"encoding/json"
	"maps"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A cut font has its letters as they were, those made of several glyphs too, and no others: as
// golang.org/x/image reads both. It looks letters up in tables that a PDF needs not, so that these are lent
// to it. The sum over a whole file is 0xb1b0afba (OpenType 1.9, head, checksumAdjustment).
func TestCutFont(t *testing.T) {
	const kept, gone = "Wall ÀéÑöŽЙΐ≤→¢♯½", "QÉß"
	for bold := range 2 {
		f := faceOf(bold > 0)
		whole, glyphs, parted := newTrueType(f.file), []uint16{0}, 0
		for _, r := range kept {
			glyphs = append(glyphs, f.glyph(r))
			parted += min(1, len(parts(whole.glyph(f.glyph(r)))))
		}
		require.GreaterOrEqual(t, parted, 5, "letters with accents are made of two")
		file := whole.cut(glyphs)
		require.Equal(t, uint32(0xb1b0afba), sumOf(file))
		require.Less(t, len(file), len(f.file)/5)
		tables := maps.Clone(newTrueType(file).tables)
		for _, name := range []string{"cmap", "name", "post", "OS/2"} {
			tables[name] = whole.tables[name]
		}
		cut, err := sfnt.Parse(assemble(tables))
		require.NoError(t, err)
		var b sfnt.Buffer
		outline := func(font *sfnt.Font, r rune) (sfnt.Segments, fixed.Int26_6) {
			g, err := font.GlyphIndex(&b, r)
			require.NoError(t, err)
			all, err := font.LoadGlyph(&b, g, fixed.I(2048), nil)
			if err != nil { // beyond the last that is kept
				return nil, 0
			}
			all = append(sfnt.Segments{}, all...)
			wide, err := font.GlyphAdvance(&b, g, fixed.I(2048), 0)
			require.NoError(t, err)
			return all, wide
		}
		for _, r := range kept {
			want, wide := outline(f.parsed, r)
			got, asWide := outline(cut, r)
			require.Equal(t, want, got, "%c", r)
			require.Equal(t, wide, asWide, "%c", r)
		}
		for _, r := range gone {
			got, _ := outline(cut, r)
			require.Empty(t, got, "%c", r)
		}
	}
}

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
