package paper

import (
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
