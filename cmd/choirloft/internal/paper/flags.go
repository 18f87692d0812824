package paper

import (
	"fmt"
	"math"
	"strings"
	"time"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
)

// Measures of a cable's flag, in mm: a strip of a face, what goes round the cable, and
// the same face, which are glued back to back.
const (
	flagHeight = 10.0
	flagFace   = 28.0 // at most
	flagsAlong = 4    // beside each other
	flagColumn = 1.5  // between columns
	flagRow    = 1.0  // between rows
	flagTitle  = 7.0  // height of the line above
	usualCable = 4.0  // diameter
)

// wrap is what goes round a cable: its girth, and half a millimetre each for its three
// folds. Three cables of 3, 4 and 6 mm take 10.9, 14.1 and 20.3 mm.
func (o Options) wrap() float64 {
	d := o.Cable
	if d == 0 {
		d = usualCable
	}
	return math.Pi*d + 1.5
}

// labels are flags to cut out, two for each cable: at its jack with the name of the cable
// and where it leads, at its other end with what it is plugged into and where it comes from.
func (f *flow) labels(list []say.CableLabel) {
	f.dropHeading()
	across := (f.wideSide()-2*edge+flagColumn)/flagsAlong - flagColumn
	wrap := f.o.wrap()
	face := min(flagFace, (across-wrap)/2)
	at := 0
	for i := range list {
		for end := range list[i].Ends {
			if at%flagsAlong == 0 {
				if at > 0 {
					f.y += flagHeight + flagRow
				}
				if at == 0 || !f.bare && f.y+flagHeight > f.on().Height-edge {
					f.flagPage(2 * len(list))
				}
			}
			f.flag(&list[i].Ends[end], list[i].Colour, edge+float64(at%flagsAlong)*(across+flagColumn), face, wrap)
			at++
		}
	}
	f.y += flagHeight
	if !f.bare {
		f.y = f.on().Height // nothing else is on these pages
	}
}

// wideSide is the longer side of a page.
func (f *flow) wideSide() float64 {
	_, h := f.o.size()
	return h
}

// flagPage begins a page of flags with how to use them.
func (f *flow) flagPage(flags int) {
	f.edge(say.LabelsTitle)
	p, t := f.on(), draw.Type{Size: 8 * point}
	d := f.o.wrap()
	text := fmt.Sprintf("%s of %s, plan %s, for cables of %s mm. Cut on the lines, fold at the dots round the cable, glue the faces back to back.",
		unit.Count(flags, "flag"), f.name, f.fingerprint, unit.Figure(math.Round((d-1.5)/math.Pi*10)/10))
	const bar = 100.0
	left := p.Width - edge - bar
	if !f.bare {
		lines := draw.Wrap(text, left-edge-6, t)
		for i, line := range lines[:min(2, len(lines))] {
			p.Text(edge, f.y+2.7+3.2*float64(i), line, t)
		}
		checkBar(p, left, f.y+2.5)
		if !f.o.Date.IsZero() {
			p.Text(p.Width-edge, f.y+5.7, f.o.Date.Format(time.DateOnly), draw.Type{Size: 7.5 * point, Align: draw.End})
		}
	} else {
		p.Text(edge, f.y+2.7, draw.Fit(text, p.Width-2*edge, t), t)
	}
	f.y += flagTitle
}

// flag draws one flag: solid lines to cut, dashes round what is wrapped, dots to fold.
func (f *flow) flag(l *say.FlagFace, colour string, x, face, wrap float64) {
	p, y := f.on(), f.y
	p.Rect(x, y, 2*face+wrap, flagHeight, draw.Stroke(draw.Grey, 0.25))
	for _, at := range []float64{face, face + wrap} {
		p.Line(x+at, y, x+at, y+flagHeight, draw.Style{Stroke: draw.Grey, Width: 0.15, Dash: 0.8})
	}
	p.Line(x+face+wrap/2, y, x+face+wrap/2, y+flagHeight, draw.Style{Stroke: draw.Grey, Width: 0.15, Dash: 0.3})
	for _, at := range []float64{x, x + face + wrap} {
		if ink := cableInks[colour]; ink != draw.None {
			p.Rect(at, y, 1.6, flagHeight, swatch(ink))
		}
		left, width := at+2.4, face-3.2
		head := draw.Type{Size: 12 * point, Bold: true}
		if w := draw.Width(l.Head, head); w > width {
			head.Size = max(head.Size*width/w*0.99, 8*point)
		}
		p.Text(left, y+4.4, fitEnd(l.Head, width, head), head)
		below := draw.Type{Size: 8 * point}
		p.Text(left, y+8.6, fitEnd(l.Below, width, below), below)
	}
}

// fitEnd shortens what is plugged into an input, but neither the number of its voice nor
// the input: to North…st12 pitch.
func fitEnd(text string, width float64, t draw.Type) string {
	if at := strings.LastIndex(text, " "); at > 0 && draw.Width(text, t) > width && draw.Width(text[at:], t) < width/2 {
		return draw.FitName(text[:at], width-draw.Width(text[at:], t), t) + text[at:]
	}
	return draw.FitName(text, width, t)
}
