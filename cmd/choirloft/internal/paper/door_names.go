package paper

import (
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

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
