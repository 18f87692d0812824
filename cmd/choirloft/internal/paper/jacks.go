package paper

import (
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Measures of the drawing of jacks, in mm.
const (
	jackRadius = 3.0
	jackLine   = 19.5 // from one line of jacks to the next
	jackLabel  = 10.0 // width of what stands before a line
)

// panel draws the connectors of an interface: CVs on the left and gates on the
// right, where both fit beside each other.
func (f *flow) panel(p *say.Panel) {
	longest, kinds := 0, map[string][]say.Connector{}
	var order []string
	for _, c := range p.Connectors {
		if c.Free() {
			continue // they are named above
		}
		longest = max(longest, len(c.Sockets))
		if kinds[c.Kind] == nil {
			order = append(order, c.Kind)
		}
		kinds[c.Kind] = append(kinds[c.Kind], c)
	}
	const most, gap = 8, 5.0
	half := (f.width() - gap) / 2
	if longest <= most && len(order) == 2 {
		left, right := kinds[order[0]], kinds[order[1]]
		for i := range max(len(left), len(right)) {
			f.need(jackLine)
			if i < len(left) {
				f.connector(&left[i], f.left(), half, most)
			}
			if i < len(right) {
				f.connector(&right[i], f.left()+half+gap, half, most)
			}
			f.y += jackLine
		}
		return
	}
	for _, kind := range order {
		for i := range kinds[kind] {
			f.wide(&kinds[kind][i])
		}
	}
}

// wide draws a connector over the width of the page, in several lines where it
// has many jacks.
func (f *flow) wide(c *say.Connector) {
	const most = 16
	for from := 0; from < len(c.Sockets); from += most {
		part := *c
		part.Sockets = c.Sockets[from:min(from+most, len(c.Sockets))]
		f.need(jackLine)
		f.connector(&part, f.left(), f.width(), most)
		f.y += jackLine
	}
}

// connector draws a line of jacks.
func (f *flow) connector(c *say.Connector, x, width float64, most int) {
	p := f.on()
	pitch := (width - jackLabel) / float64(most)
	word := map[string]string{"cv": "CV", "gate": "gate", "output": "out"}[c.Kind]
	p.Text(x, f.y+4, word, draw.Type{Size: body, Bold: true})
	p.Text(x, f.y+8, "conn.", draw.Type{Size: remark, Ink: draw.Dark})
	p.Text(x, f.y+12, strconv.Itoa(c.Connector), draw.Type{Size: head, Bold: true})
	x += jackLabel
	p.Rect(x, f.y, pitch*float64(len(c.Sockets)), jackLine-2.5, draw.Stroke(draw.Grey, 0.2))
	for i := range c.Sockets {
		f.socket(&c.Sockets[i], x+pitch*(float64(i)+0.5), pitch-0.4)
	}
}

// socket draws a jack, its number in it and what it drives below.
func (f *flow) socket(s *say.Socket, x, width float64) {
	p, y := f.on(), f.y+4
	centre := func(dy float64, text string, t draw.Type) {
		t.Align = draw.Middle
		p.Text(x, f.y+dy, f.keys.fit(text, width, t), t)
	}
	style, number := draw.Style{Fill: draw.Black, Stroke: draw.Black, Width: 0.3}, draw.Paper
	switch {
	case s.Free:
		style, number = draw.Style{Stroke: draw.Grey, Width: 0.2}, draw.Dark
	case s.Signal != "pitch" && s.Signal != "gate":
		style, number = draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.5}, draw.Black
	}
	r := jackRadius
	if ink := cableInks[s.Colour]; ink != draw.None {
		jackShape(p, s.Kind, x, y, r+0.55, swatch(ink))
		r -= 0.35
	}
	jackShape(p, s.Kind, x, y, r, style)
	centre(4+1.05, strconv.Itoa(s.Jack), draw.Type{Size: 2.9, Bold: true, Ink: number})
	if s.Free {
		return
	}
	t := draw.Type{Size: 3.5, Bold: true}
	if draw.Width(s.Head, t) > width {
		t.Size = remark
	}
	heads := f.keys.fold(s.Head, width, 2, t)
	cable := f.cableLines(s.Cable, width, draw.Type{Size: remark})
	foot, step := 16.4, 2.7 // of three lines; more stand closer
	if n := len(heads) + len(cable); n > 2 {
		foot, step, t.Size = 17, 7.8/float64(n), remark
	}
	at := foot - step*float64(len(heads)+len(cable))
	first := at
	for _, line := range heads {
		centre(at, line, t)
		at += step
	}
	centre(at, s.Signal, draw.Type{Size: remark})
	for _, line := range cable {
		at += step
		centre(at, line, draw.Type{Size: remark, Ink: draw.Dark})
	}
	if strings.HasPrefix(s.Standing, "OUT") {
		w := min(draw.Width(s.Head, t), width)
		p.Line(x-w/2-0.8, f.y+first-1.2, x+w/2+0.8, f.y+first-1.2, draw.Stroke(draw.Accent, 0.5))
	}
}

// cableLines are the name of a cable, in two lines behind the name of its interface where
// one is not enough.
func (f *flow) cableLines(name string, width float64, t draw.Type) []string {
	of, jack, ok := strings.Cut(name, ":")
	if whole := f.keys.fit(name, width, t); !ok || !strings.Contains(whole, "…") {
		return []string{whole}
	}
	return []string{f.keys.fit(of+":", width, t), jack}
}

// jackShape draws a CV round, a gate square, and what gives either as a diamond.
func jackShape(p *draw.Picture, kind string, x, y, r float64, s draw.Style) {
	switch kind {
	case "gate":
		p.Rect(x-r+0.2, y-r+0.2, 2*r-0.4, 2*r-0.4, s)
	case "output":
		p.Path([]draw.Point{{X: x, Y: y - r}, {X: x + r, Y: y}, {X: x, Y: y + r}, {X: x - r, Y: y}, {X: x, Y: y - r}}, s)
	default:
		p.Circle(x, y, r, s)
	}
}

func (f *flow) jackLegend() {
	f.need(12)
	f.y += 1.5
	x := f.left() + jackRadius
	for _, k := range []struct {
		kind  string
		style draw.Style
		text  string
	}{
		{"cv", draw.Fill(draw.Black), "pitch of a voice"},
		{"gate", draw.Fill(draw.Black), "gate of a voice"},
		{"cv", draw.Stroke(draw.Black, 0.5), "control or macro"},
		{"cv", draw.Stroke(draw.Grey, 0.2), "free"},
	} {
		jackShape(f.on(), k.kind, x, f.y+2, jackRadius, k.style)
		t := draw.Type{Size: small}
		f.on().Text(x+jackRadius+1.5, f.y+3, k.text, t)
		x += jackRadius*2 + 7 + draw.Width(k.text, t)
	}
	t := draw.Type{Size: small}
	f.on().Text(x, f.y+3, "below: voice or bank, signal, cable; struck through: out", t)
	f.y += 7
	f.on().Text(f.left(), f.y+1, "The ring has the colour of the bank's cables, whatever the signal; without: the cable serves several banks.", t)
	f.y += 4
}
