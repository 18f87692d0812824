package paper

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Measures of the drawing of banks, in mm.
const (
	faceHeight = 27.0
	bankLabel  = 13.0
	bankGap    = 3.0
	mostFaces  = 8 // voices in a line
)

// faces draws all banks.
func (f *flow) faces(faces []say.BankFace) {
	widest := 1
	for _, b := range faces {
		widest = max(widest, min(len(b.Voices), mostFaces))
	}
	for i := range faces {
		f.bank(&faces[i], widest)
	}
}

// bank draws a bank, in several lines where it has many voices.
func (f *flow) bank(b *say.BankFace, widest int) {
	width := (f.width() - bankLabel) / float64(widest)
	common := strings.Join(b.Common, ", ")
	for from := 0; from < len(b.Voices); from += mostFaces {
		part := b.Voices[from:min(from+mostFaces, len(b.Voices))]
		height := faceHeight
		if common != "" && from == 0 {
			height += 4
		}
		f.need(height + bankGap)
		p := f.on()
		t := draw.Type{Size: 7, Bold: true}
		if draw.Width(b.Bank, t) > bankLabel-2 {
			t.Size = head
		}
		p.Text(f.left(), f.y+7, f.keys.fit(b.Bank, bankLabel-2, t), t)
		if ink := cableInks[b.Colour]; ink != draw.None {
			p.Rect(f.left(), f.y+10, bankLabel-3, 3, swatch(ink))
			t := draw.Type{Size: small}
			p.Text(f.left(), f.y+16.5, draw.Fit(b.Colour, bankLabel-2, t), t)
		}
		x := f.left() + bankLabel
		if common != "" && from == 0 {
			t := draw.Type{Size: small}
			p.Text(x, f.y+2.8, f.keys.fit("common jacks: "+common, f.width()-bankLabel, t), t)
			f.y += 4
		}
		for i := range part {
			f.voice(&part[i], x+width*float64(i), width)
		}
		f.y += faceHeight + bankGap
	}
}

// voice draws one voice as a field.
func (f *flow) voice(v *say.VoiceFace, x, width float64) {
	p, y := f.on(), f.y
	inner := width - 4
	style := draw.Stroke(draw.Black, 0.3)
	if v.State == "spare" {
		style.Dash = 1.2
	}
	p.Rect(x+0.5, y, width-1, faceHeight, style)
	number := draw.Type{Size: small, Ink: draw.Dark, Align: draw.End}
	p.Text(x+width-2, y+5, strconv.Itoa(v.Number), number)
	t := shrink(v.Name, inner-5, draw.Type{Size: large, Bold: true})
	name := f.keys.fit(v.Name, inner-5, t)
	p.Text(x+2, y+6, name, t)
	if v.State == "out" {
		p.Line(x+1, y+4.2, x+3+draw.Width(name, t), y+4.2, draw.Stroke(draw.Accent, 0.7))
	}
	f.plug("cv", v.Pitch, v.PitchBy, x+2, y+10, inner)
	f.plug("gate", v.Gate, v.GateBy, x+2, y+13.4, inner)
	f.tuning(v, x+2, y+17.5, inner)
	f.standing(v, x, y, width)
}

// plug names a jack of a voice, its shape beside it, and the cable.
func (f *flow) plug(kind, name, cable string, x, y, width float64) {
	if name == "" {
		return
	}
	p, t := f.on(), draw.Type{Size: small}
	jack := [...]float64{1, 0.9}
	if kind == "gate" {
		p.Rect(x, y-2, 2*jack[1], 2*jack[1], draw.Fill(draw.Black))
	} else {
		p.Circle(x+jack[0], y-1, jack[0], draw.Fill(draw.Black))
	}
	x, width = x+2.9, width-2.9
	switch both := name + "   " + cable; {
	case draw.Width(both, t) <= width:
		p.Text(x, y, name, t)
		t.Ink, t.Align = draw.Dark, draw.End
		p.Text(x+width, y, cable, t)
	case draw.Width(name, t) <= width:
		p.Text(x, y, name, t)
	default:
		p.Text(x, y, f.keys.fit(cable, width, t), t) // says the same, in short
	}
}

// tuning says the detune and pan of a voice, or where it has none, its parts.
func (f *flow) tuning(v *say.VoiceFace, x, y, width float64) {
	lines, t := v.Detune, draw.Type{Size: body, Bold: true}
	if len(lines) == 0 {
		lines, t = []string{v.Parts}, draw.Type{Size: small}
	}
	most := 2
	if v.Standing != "" {
		most = 1
	}
	if n := len(lines); n > most {
		lines = append(slices.Clone(lines[:most-1]), fmt.Sprintf("and %d more", n-most+1))
		if most == 1 {
			lines[0] = "see the list"
		}
	}
	for i, line := range lines {
		kind := t
		if draw.Width(line, kind) > width {
			kind = draw.Type{Size: remark}
		}
		f.on().Text(x, y+4*float64(i), f.keys.fit(line, width, kind), kind)
	}
}

// standing marks a voice that is not simply in, in words on a band.
func (f *flow) standing(v *say.VoiceFace, x, y, width float64) {
	if v.Standing == "" {
		return
	}
	p := f.on()
	band := draw.Style{Fill: draw.Faint, Stroke: draw.Black, Width: 0.3}
	t := draw.Type{Size: body, Bold: true, Align: draw.Middle}
	if v.State == "out" {
		band, t.Ink = draw.Style{Fill: draw.Accent, Stroke: draw.Accent, Width: 0.3}, draw.Paper
	}
	lines := []string{v.Standing}
	if draw.Width(v.Standing, t) > width-3 {
		t.Size = small
		lines = draw.Wrap(v.Standing, width-3, t)
		lines = lines[:min(2, len(lines))]
	}
	height := 2 + 3.4*float64(len(lines))
	p.Rect(x+0.5, y+faceHeight-height, width-1, height, band)
	for i, line := range lines {
		p.Text(x+width/2, y+faceHeight-height+3.8+3.2*float64(i), line, t)
	}
}
