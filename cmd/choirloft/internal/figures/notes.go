package figures

import (
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
)

// look is how the keys of a part are filled: greys and a hatch, told apart in print
// without colour.
type look struct {
	fill  draw.Ink
	hatch bool
	text  draw.Ink // on it; a hatch has a white plate below
	sign  string   // of the part, where others have the same hatch
}

// hatched is the look of a part that has no grey of its own.
var hatched = look{fill: draw.Paper, hatch: true, text: draw.Black}

// looks are those of the first parts. More have the hatch too, with a letter.
var looks = []look{{fill: draw.Deep, text: draw.Paper}, hatched, {fill: draw.Grey, text: draw.Black}, {fill: draw.Dark, text: draw.Paper}}

// wrongPitch is round a note at another pitch than it asks for.
var wrongPitch = draw.Stroke(draw.Accent, 0.7)

// inksOf are the looks of all parts.
func inksOf(l *contract.Lanes) (list []look) {
	signs := signsOf(l.Parts)
	for i := range max(1, len(l.Parts)) {
		if i < len(looks) {
			list = append(list, looks[i])
			continue
		}
		one := hatched
		one.sign = signs[i]
		list = append(list, one)
	}
	return list
}

// notes draws what each voice plays: a filled bar while the key is down, an open
// one while a pedal holds, a wedge while the tail fades; then the names. What
// looks alike is drawn together, as a file then says its look once.
func (f *lanes) notes() {
	f.p.Clip(f.left, 0, f.width, f.p.Height)
	f.each(func(s *contract.LaneSpan, y, h float64) {
		if s.EndS > s.LowS {
			f.wedge(s, y, h)
		}
	})
	for i := range f.inks {
		f.each(func(s *contract.LaneSpan, y, h float64) {
			if s.Part == i && s.UpS > s.StartS {
				f.key(f.x(s.StartS), f.x(s.UpS), y, h, f.inks[i])
			}
		})
	}
	f.each(func(s *contract.LaneSpan, y, h float64) {
		if s.LowS > s.UpS {
			f.p.Rect(f.x(s.UpS), y, f.x(s.LowS)-f.x(s.UpS), h, draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.25})
		}
	})
	wrong := f.r.WrongOn(f.l)
	for i := range f.l.Spans {
		if s := &f.l.Spans[i]; wrong[i] && f.seen(s) {
			y, h := f.bar(s)
			f.p.Rect(f.x(s.StartS), y, f.x(s.LowS)-f.x(s.StartS), h, wrongPitch)
		}
	}
	if f.storey > 0 {
		f.each(f.named)
	}
	f.p.Unclip()
}

// each visits the spans that are seen, with the top and the height of their
// bars.
func (f *lanes) each(visit func(s *contract.LaneSpan, y, h float64)) {
	for i := range f.l.Spans {
		s := &f.l.Spans[i]
		if f.seen(s) {
			y, h := f.bar(s)
			visit(s, y, h)
		}
	}
}

// seen tells whether some of a span is in the window.
func (f *lanes) seen(s *contract.LaneSpan) bool {
	return s.EndS > f.w.From && s.StartS < f.w.To && f.tops[s.Voice-1] != noLane
}

// bar is the top and the height of the bar of a span.
func (f *lanes) bar(s *contract.LaneSpan) (y, h float64) {
	low := f.lane - f.storey
	return f.tops[s.Voice-1] + f.storey + low*0.1, low * 0.8
}

// key draws a key that is down. Where there is room a gap before it sets it
// apart from the note before.
func (f *lanes) key(x0, x1, y, h float64, ink look) {
	const gap = 0.35
	if x1-x0 > 3*gap {
		x0 += gap
	}
	x0, x1 = max(x0, f.left-1), min(x1, f.left+f.width+1)
	w := max(x1-x0, 0.1)
	if f.storey == 0 && !ink.hatch && ink.fill != draw.Paper {
		f.p.Rect(x0, y, w, h, draw.Fill(ink.fill))
		return
	}
	if !ink.hatch {
		f.p.Rect(x0, y, w, h, draw.Style{Fill: ink.fill, Stroke: draw.Paper, Width: 0.25})
		return
	}
	f.p.Rect(x0, y, w, h, draw.Style{Fill: ink.fill, Stroke: draw.Black, Width: 0.2})
	f.p.Hatch(x0, y, w, h, 1.1, draw.Stroke(draw.Black, 0.2))
}

// wedge draws a tail: it falls to nothing, or to where it is cut.
func (f *lanes) wedge(s *contract.LaneSpan, y, h float64) {
	end := 0.0
	if s.Ending != "" {
		end = 0.35
	}
	x0, x1 := f.x(s.LowS), f.x(s.EndS)
	f.p.Path([]draw.Point{{X: x0, Y: y + h*0.25}, {X: x0, Y: y + h}, {X: x1, Y: y + h}, {X: x1, Y: y + h*(1-end)}},
		draw.Style{Fill: draw.Faint, Stroke: draw.Grey, Width: 0.15})
}

// named writes part and key on a bar, or behind it over its tail, where there is room. Where the key that sounds
// instead has no room beside the one asked for, it stands behind that, or alone.
func (f *lanes) named(s *contract.LaneSpan, y, h float64) {
	if s.KeyName == "" || s.Part >= len(f.l.Parts) {
		return
	}
	names, sounds := f.names(s), arrow(s)
	if sounds == "" {
		_ = f.onBar(s, names, y, h) || f.overTail(s, names[min(1, len(names)-1)], y, h)
		return
	}
	asked := *s
	asked.SoundsName = ""
	switch {
	case f.onBar(s, names, y, h):
	case f.overTail(s, sounds, y, h):
		f.onBar(s, f.names(&asked), y, h)
	default:
		f.onBar(s, append([]string{sounds}, f.names(&asked)...), y, h)
	}
}

// arrow leads to the key that sounds instead of the one asked for.
func arrow(s *contract.LaneSpan) string {
	if s.SoundsName == "" {
		return ""
	}
	return "→" + s.SoundsName
}

// names are what a note is called where there is room, the longest first: its part and its key, with the one that
// sounds instead, "bass G1→C2"; the sign of its part alone does for one at the right pitch.
func (f *lanes) names(s *contract.LaneSpan) []string {
	key, sign, part := s.KeyName+arrow(s), f.inks[s.Part%len(f.inks)].sign, f.l.Parts[s.Part]
	switch {
	case len(f.l.Parts) == 1:
		return []string{key}
	case sign != "" && s.SoundsName == "":
		return []string{part + " " + key, sign + " " + key, sign}
	case sign != "":
		return []string{part + " " + key, sign + " " + key}
	}
	return []string{part + " " + key, key}
}

// onBar writes the longest of some names for which the bar of a note has room, if any.
func (f *lanes) onBar(s *contract.LaneSpan, names []string, y, h float64) bool {
	t := draw.Type{Size: small}
	x0, x1 := max(f.x(s.StartS), f.left), min(f.x(s.LowS), f.left+f.width)
	base, ink := y+h/2+t.Size*0.36, f.inks[s.Part%len(f.inks)]
	for _, text := range names {
		width := draw.Width(text, t)
		if width > x1-x0-1.6 || f.covered(s.Voice, x0+0.7, x0+1.3+width) {
			continue
		}
		if ink.hatch {
			f.p.Rect(x0+0.7, base-t.Size*0.85, width+0.5, t.Size*1.05, draw.Fill(draw.Paper))
		}
		t.Ink = ink.text
		f.p.Text(x0+1, base, text, t)
		return true
	}
	return false
}

// overTail writes a name behind a bar, where its tail is long enough.
func (f *lanes) overTail(s *contract.LaneSpan, name string, y, h float64) bool {
	t := draw.Type{Size: small}
	x1, end := min(f.x(s.LowS), f.left+f.width), min(f.x(s.EndS), f.left+f.width)
	width := draw.Width(name, t)
	if end-x1 < max(4.5, width+1) || x1 < f.left || f.covered(s.Voice, x1, x1+width+1) {
		return false
	}
	f.p.Text(x1+0.5, y+h/2+t.Size*0.36, name, t)
	return true
}
