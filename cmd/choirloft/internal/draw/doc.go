// Package draw is a small canvas. A [Picture] is a list of rectangles, lines,
// paths and texts, in millimetres from its top left corner; [SVG], [PNG] and
// [PDF] write the same picture.
//
//	p := draw.New(180, 60)
//	p.Rect(10, 10, 40, 8, draw.Fill(draw.Black))
//	p.Text(10, 30, "Kiln Yard", draw.Type{Size: 4})
//	err := draw.SVG(w, p)
//
// Text is set in DejaVu Sans Condensed, whose widths are known here, so that
// what fits fits in all three; a viewer of SVG that has not got it squeezes its
// own to the same widths. Signs that the font lacks are left to the viewer of an SVG;
// [PDF] and [PNG] refuse them, for they would be boxes. Right-to-left writing is set in
// the order in which it is stored.
//
// The same picture gives the same bytes. There is no clock, no image and no
// gradient.
package draw
