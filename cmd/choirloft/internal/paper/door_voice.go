package paper

import (
	"math"
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// doorLines draws the voices line by line, with the name of its bank.
func (f *flow) doorLines(d *say.Door, size doorSize) {
	for i := range d.Lines {
		l := &d.Lines[i]
		if i == 0 || d.Lines[i-1].Bank != l.Bank || l.Last != "" {
			f.doorBank(l, size)
		}
		for j := range l.Voices {
			x := edge + size.bank + float64(j)*(size.width+doorGap)
			if v := &l.Voices[j]; size.stacked {
				f.doorStack(v, x, size)
			} else {
				f.doorVoice(v, x, size)
			}
		}
		f.y += size.height + doorGap
	}
	f.y += 0.4
}

// doorBank writes the bank of a line, or the first and the last.
func (f *flow) doorBank(l *say.DoorLine, size doorSize) {
	y, most := f.y+size.height/2+2, 18.0
	names := []string{l.Bank}
	if l.Last != "" {
		names, most = append(names, "–"+l.Last), doorLabel
	}
	for _, name := range names {
		t := draw.Type{Size: fitting(name, size.bank-3, most), Bold: true}
		if t.Size < doorLabel*point { // nearer to the voices
			t.Size = max(fitting(name, size.bank-1, doorLabel), doorLabelTight*point)
		}
		f.on().Text(edge, y, f.keys.fit(name, size.bank-1, t), t)
		y += t.Size * 1.2
	}
}

// doorVoice draws a voice: its name, its jacks as a pill and a square, detune and pan,
// the address, and what it is if it is not simply in.
func (f *flow) doorVoice(v *say.DoorVoice, x float64, size doorSize) {
	y, w := f.y, size.width
	f.doorCell(v, x, size)
	wide := size.plug
	f.doorName(v, x, y+size.name*point*1.02, w-3-2*(wide+0.8), size)
	high := size.jack * point * 1.4
	right := x + w - 0.8
	f.doorPlug(v.Gate, true, v.Out, right-wide, y+0.8, wide, high, size.jack)
	f.doorPlug(v.Pitch, false, v.Out, right-2*wide-0.8, y+0.8, wide, high, size.jack)
	at := y + high + 1.2 + 11*point
	last := y + size.height - 1.2
	small := draw.Type{Size: 9 * point}
	address := f.keys.fit(v.Address, w-3.6-standingBeside(v), small)
	f.plate(v.Out, x+2.4, last, address, small)
	raised := f.doorStanding(v, x, last, w-5-draw.Width(address, small), w)
	f.doorDetune(v, x, at, w, raised || len(v.Via) > 0)
	if len(v.Via) > 0 {
		t := draw.Type{Size: 7.5 * point, Bold: true}
		f.plate(v.Out, x+2.4, last-3, f.keys.fit(strings.Join(v.Via, ", "), w-3.6, t), t)
	}
}

// standingBeside is what a voice's standing takes at least beside its address, in mm, where it cannot be raised above it.
func standingBeside(v *say.DoorVoice) float64 {
	if v.Standing == "" || len(v.Via) == 0 {
		return 0
	}
	return draw.Width(shortStanding(v.Standing), draw.Type{Size: 7.5 * point, Bold: true}) + 1.5
}

// shortStanding leaves the keys of a voice that is limited: that it is limited shows.
func shortStanding(text string) string {
	if _, keys, ok := strings.Cut(text, " "); ok {
		return keys
	}
	return text
}

// doorStanding says at the foot of a voice what it is if it is not simply in; where there is
// no room beside the address it is raised to the line above.
func (f *flow) doorStanding(v *say.DoorVoice, x, y, room, w float64) (raised bool) {
	if v.Standing == "" {
		return false
	}
	text, t := v.Standing, draw.Type{Size: 8 * point, Bold: true, Align: draw.End}
	least := draw.Type{Size: 7.5 * point, Bold: true}
	if draw.Width(text, least) > room {
		if len(v.Via) == 0 {
			y, room, raised = y-3, w-3.6, true
		} else {
			text = shortStanding(text)
		}
	}
	if width := draw.Width(text, t); width > room {
		t.Size = max(t.Size*room/width*0.99, least.Size)
	}
	f.plate(v.Out, x+w-1.2, y, f.keys.fit(text, room, t), t)
	return raised
}

// doorCell draws the frame of a voice and the colour of its bank.
func (f *flow) doorCell(v *say.DoorVoice, x float64, size doorSize) {
	p, y := f.on(), f.y
	p.Rect(x, y, size.width, size.height, draw.Stroke(draw.Black, 0.3))
	if v.Out {
		p.Hatch(x, y, size.width, size.height, 2.2, draw.Stroke(draw.Grey, 0.15)) // what is out
	}
	if ink := cableInks[v.Colour]; ink != draw.None {
		p.Rect(x, y, 1.6, size.height, swatch(ink))
	}
}

// nameLines sets the name of a voice in a line, or with its number in another; where neither has
// 9 points its bank has a number in brackets. Lines are preferred in 12 points, or one before two.
func (f *flow) nameLines(v *say.DoorVoice, size doorSize, room float64) ([]string, draw.Type) {
	longest := size.longest[v.Bank]
	number := strings.TrimPrefix(longest, v.Bank)
	one := fitting(longest, room, size.name)
	two := min(fitting(v.Bank, room, doorLabel), fitting(number, room, doorLabel))
	t, least := draw.Type{Size: one, Bold: true}, doorLabel*point
	if size.stacked {
		least = doorLabelTight * point
	}
	const hair = 1e-4
	switch own := strings.TrimPrefix(v.Name, v.Bank); {
	case one > least-hair || one >= two && one >= doorLabelTight*point:
		return []string{v.Name}, t
	case two >= doorLabelTight*point && own != v.Name:
		t.Size = two
		return []string{v.Bank, own}, t
	case f.keys != nil && own != v.Name:
		short := f.keys.key(v.Bank)
		t.Size = max(fitting(short+number, room, size.name), 7.5*point)
		return []string{short + own}, t
	}
	t.Size = max(one, 7.5*point)
	return []string{f.keys.whole(v.Name, room, t)}, t
}

// fitting is the size of bold type, in mm and of so many points at most, in which a text fits.
func fitting(text string, room, points float64) float64 {
	t := draw.Type{Size: points * point, Bold: true}
	if width := draw.Width(text, t); width > room {
		t.Size *= room / width * 0.99
	}
	return t.Size
}

// doorName writes the name of a voice, struck through where it is out, and returns how far the
// second line of it is below the first.
func (f *flow) doorName(v *say.DoorVoice, x, y, room float64, size doorSize) (down float64) {
	lines, t := f.nameLines(v, size, room)
	if len(lines) > 1 {
		down = t.Size * 0.9
		y = f.y + 0.9 + t.Size*0.73
	}
	for i, line := range lines {
		at := y + down*float64(i)
		f.plate(v.Out, x+2.4, at, line, t)
		if v.Out {
			f.on().Line(x+2, at-t.Size*0.34, x+3+draw.Width(line, t), at-t.Size*0.34, draw.Stroke(draw.Black, 0.5))
		}
	}
	return down
}

// doorStack draws a voice that is narrow and high: one thing below the other.
func (f *flow) doorStack(v *say.DoorVoice, x float64, size doorSize) {
	f.doorCell(v, x, size)
	y, room := f.y, size.width-3
	more := f.doorName(v, x, y+4.6, room, size)
	const high = 5.4
	f.doorPlug(v.Pitch, false, v.Out, x+2.2, y+5.8+more, room, high, size.jack)
	f.doorPlug(v.Gate, true, v.Out, x+2.2, y+11.6+more, room, high, size.jack)
	down := 16.6 + more
	var texts []stackText
	for _, detune := range []int{2, 1, 0} {
		if texts = f.stackTexts(v, room, detune); heightOfTexts(texts) <= size.height-down {
			break
		}
	}
	at := y + down
	for _, one := range texts {
		at += one.t.Size * stackLeading
		f.plate(v.Out, x+2.4, at-0.4, one.text, one.t)
	}
}

// stackText is a line of a voice that is narrow and high, and stackLeading how far one is
// below the other, in ems.
type stackText struct {
	text string
	t    draw.Type
}

const stackLeading = 1.02

// stackTexts are the lines below the jacks of a voice. Detune is whole (2), without the pans
// of several parts (1), or left to the list (0).
func (f *flow) stackTexts(v *say.DoorVoice, room float64, detune int) (all []stackText) {
	add := func(text string, points float64, bold bool) {
		t := draw.Type{Size: points * point, Bold: bold}
		if width := draw.Width(text, t); width > room {
			t.Size = max(t.Size*room/width*0.99, 7.5*point)
		}
		for _, line := range f.stackLines(text, room, t) {
			all = append(all, stackText{line, t})
		}
	}
	for i, one := range v.Detune[:min(2, len(v.Detune))] {
		switch cents := strings.TrimSuffix(one.Cents, " ¢"); {
		case len(v.Detune) == 1 && detune > 0:
			add(cents, 11, true)
			add(one.Pan, 9, false)
		case i == 0 && detune == 0, i == 1 && detune > 0 && len(v.Detune) > 2:
			add("see the list", 7.5, false)
		case detune > 0:
			add(cents, 8, true)
			if detune > 1 {
				add(one.Pan, 8, false)
			}
		}
	}
	if len(v.Via) > 0 {
		add("modules", 8, true)
	}
	add(v.Address, 8, false)
	add(v.Standing, 8, true)
	return all
}

// stackLines folds a text, into two lines with short names where that does it.
func (f *flow) stackLines(text string, room float64, t draw.Type) []string {
	whole := draw.Wrap(text, room, t)
	if len(whole) > 2 {
		if short := f.keys.fold(text, room, 2, t); !strings.Contains(strings.Join(short, ""), "…") {
			return short
		}
	}
	return whole
}

func heightOfTexts(texts []stackText) (sum float64) {
	for _, one := range texts {
		sum += one.t.Size * stackLeading
	}
	return sum
}

// plate writes a text, on white where the ground is not.
func (f *flow) plate(shaded bool, x, y float64, text string, t draw.Type) {
	if text == "" {
		return
	}
	if shaded {
		left, width := x, draw.Width(text, t)
		if t.Align == draw.End {
			left -= width
		}
		f.on().Rect(left-0.4, y-t.Size*0.82, width+0.8, t.Size*1.02, draw.Fill(draw.Paper))
	}
	f.on().Text(x, y, text, t)
}

// doorDetune writes detune and pan, of two parts at most and of one where the second line is
// taken, or the parts of a voice without.
func (f *flow) doorDetune(v *say.DoorVoice, x, y, w float64, taken bool) {
	if len(v.Detune) == 0 {
		if t := (draw.Type{Size: 8 * point}); draw.Width(v.Parts, t) <= w-4 {
			f.plate(v.Out, x+2.4, y, v.Parts, t)
		}
		return
	}
	big, detune := draw.Type{Size: 11 * point, Bold: true}, v.Detune[:min(2, len(v.Detune))]
	if taken && len(detune) > 1 {
		detune = []say.DoorDetune{{Cents: "see the list"}}
	}
	if len(detune) > 1 {
		big.Size, y = 8*point, y-0.8
	}
	for i, one := range detune {
		pan := draw.Type{Size: min(10*point, big.Size), Align: draw.End}
		line := y + float64(i)*big.Size*1.05
		if i == 1 && len(v.Detune) > 2 {
			one = say.DoorDetune{Cents: "others: see the list"}
		}
		t := big
		if width, room := draw.Width(one.Cents, t), w-4.4-draw.Width(one.Pan, pan); width > room {
			small := max(t.Size*room/width*0.99, 7.5*point)
			t.Size = max(small, min(doorLabelTight*point, t.Size))
			if short := f.keys.clone().fit(one.Cents, room, t); strings.Contains(short, "…") {
				t.Size = small
			}
			one.Cents = f.keys.fit(one.Cents, room, t)
		}
		f.plate(v.Out, x+2.4, line, one.Cents, t)
		f.plate(v.Out, x+w-1.2, line, one.Pan, pan)
	}
}

// outOfService is the jack of a voice that is out.
var outOfService = draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.35, Dash: 0.9}

// doorPlug draws the jack of a voice: a square for a gate, a pill for a pitch; white and dashed
// where the voice is out.
func (f *flow) doorPlug(number string, gate, out bool, x, y, w, h, points float64) {
	if number == "" {
		return
	}
	p, t := f.on(), draw.Type{Size: points * point, Bold: true, Align: draw.Middle, Ink: draw.Paper}
	style := draw.Fill(draw.Black)
	if out {
		style, t.Ink = outOfService, draw.Black
	}
	if gate {
		p.Rect(x, y, w, h, style)
	} else {
		pill(p, x, y, w, h, h/2, style)
	}
	if box, jack, ok := strings.Cut(number, ":"); ok {
		f.boxedPlug(box, jack, x+w/2, y, w, h, t)
		return
	}
	t.Size = min(t.Size, fitting(number, w-1, points))
	p.Text(x+w/2, y+h/2+t.Size*0.365, number, t)
}

// boxedPlug writes the name of a cable of a further interface on the jack of a voice: the
// interface above, the jack below as large as there is room for.
func (f *flow) boxedPlug(box, jack string, x, y, w, h float64, t draw.Type) {
	const between = 0.5
	above := t
	above.Size = 7.5 * point
	t.Size = min(t.Size, fitting(jack, w-1.6, doorLabel), (h-0.9-between)/0.73-above.Size)
	top := y + (h-0.73*(above.Size+t.Size)-between)/2
	f.on().Text(x, top+0.73*above.Size, f.keys.fit(box, w-1.6, above), above)
	f.on().Text(x, top+0.73*(above.Size+t.Size)+between, jack, t)
}

// pill is a rectangle with round ends, which go so far in.
func pill(p *draw.Picture, x, y, w, h, end float64, s draw.Style) {
	r := h / 2
	var points []draw.Point
	for i := range 25 {
		cx := x + w - end
		if i > 12 {
			cx = x + end
		}
		sin, cos := math.Sincos(math.Pi * float64(i-i/13) / 12)
		points = append(points, draw.Point{X: cx + end*sin, Y: y + r - r*cos})
	}
	p.Path(append(points, points[0]), s)
}
