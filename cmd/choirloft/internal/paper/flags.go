package paper

import (
	"fmt"
	"math"
	"slices"
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
	flagLeast  = 7.5 * point
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
func (f *flow) labels(list []say.CableLabel, k *keys) {
	f.dropHeading()
	across := (f.wideSide()-2*edge+flagColumn)/flagsAlong - flagColumn
	wrap := f.o.wrap()
	face := min(flagFace, (across-wrap)/2)
	k.here = nil
	var faces []flagText
	for i := range list {
		for _, end := range list[i].Ends {
			faces = append(faces, newFace(end, face-3.2, k))
		}
	}
	for at := range faces {
		if at%flagsAlong == 0 {
			if at > 0 {
				f.y += flagHeight + flagRow
			}
			if at == 0 || !f.bare && f.y+flagHeight > f.on().Height-edge {
				f.flagPage(len(faces), k.text())
			}
		}
		f.flag(&faces[at], list[at/2].Colour, edge+float64(at%flagsAlong)*(across+flagColumn), face, wrap)
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
func (f *flow) flagPage(flags int, key string) {
	f.edge(say.LabelsTitle)
	p, t := f.on(), draw.Type{Size: 8 * point}
	d := f.o.wrap()
	text := fmt.Sprintf("%s of %s, plan %s, for cables of %s mm. Cut on the lines. The part between the dashes goes round the cable: fold at the dots, glue the faces back to back.",
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
	for _, line := range draw.Wrap(key, p.Width-2*edge, t) {
		p.Text(edge, f.y+2.4, line, t)
		f.y += 3.2
	}
}

// flagText is a face as it is written: up to three lines, of which the last belong to what
// is below the head.
type flagText struct{ head, below []string }

// newFace folds what a face says into a width, and shortens names where that is not enough.
func newFace(l say.FlagFace, width float64, k *keys) flagText {
	head, below := draw.Type{Size: 8 * point, Bold: true}, draw.Type{Size: flagLeast}
	var x flagText
	for _, with := range []*keys{nil, k} {
		for _, lines := range [][2]int{{1, 1}, {1, 2}, {2, 1}} {
			x = flagText{with.fold(l.Head, width, lines[0], head), with.fold(l.Below, width, lines[1], below)}
			if !strings.Contains(strings.Join(slices.Concat(x.head, x.below), ""), "…") {
				return x
			}
		}
	}
	if short := (say.FlagFace{Head: linked(l.Head), Below: linked(l.Below)}); short != l {
		return newFace(short, width, k)
	}
	return x
}

// linked leaves out what feeds a multiple that is one of several, where there is no room.
func linked(text string) string {
	before, rest, ok := strings.Cut(text, "multiple of ")
	if _, unit, several := strings.Cut(rest, ", "); ok && several {
		return before + "multiple, " + unit
	}
	return text
}

// write sets the face in lines from a corner on, as large as there is room for.
func (x *flagText) write(p *draw.Picture, left, y, width float64) {
	large, small, at := 12*point, 8*point, []float64{4.4, 8.6}
	if len(x.head)+len(x.below) > 2 {
		large, small, at = 9*point, flagLeast, []float64{3.1, 6.1, 9.1}
	}
	for i, text := range slices.Concat(x.head, x.below) {
		t, least := draw.Type{Size: large, Bold: true}, 8*point
		if i >= len(x.head) {
			t, least = draw.Type{Size: small}, flagLeast
		}
		if w := draw.Width(text, t); w > width {
			t.Size = max(t.Size*width/w*0.999, least)
		}
		p.Text(left, y+at[i], text, t)
	}
}

// flag draws one flag: solid lines to cut, dashes round what is wrapped, dots to fold.
func (f *flow) flag(l *flagText, colour string, x, face, wrap float64) {
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
		l.write(p, at+2.4, y, face-3.2)
	}
}
