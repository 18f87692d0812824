package paper

import (
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

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
