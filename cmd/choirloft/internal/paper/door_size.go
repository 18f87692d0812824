package paper

import (
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// doorSize is how large the voices of a door are.
type doorSize struct {
	width, height, name, jack float64           // of a voice in mm; types in points
	plug                      float64           // width of the jacks on a voice
	bank                      float64           // width of what stands before a line of voices
	before                    float64           // width of what stands before a line of jacks
	columns                   int               // jacks in a row that have names of their own; 0 for brackets only
	beside                    bool              // the jacks stand at the right of the voices
	stacked                   bool              // what belongs to a voice stands one below the other
	longest                   map[string]string // the widest name of a voice, by bank
}

var (
	largeDoor = doorSize{width: 35, height: 26.6, name: 18, jack: 14, columns: 8, beside: true}
	broadDoor = doorSize{height: 26.6, name: 18, jack: 14, columns: 16} // for few rows of 5 to 8
	wideDoor  = doorSize{height: 17.4, name: 14, jack: 12, columns: 16}
	highDoor  = doorSize{height: 33, name: 13, jack: 12, stacked: true} // for rows of 9 to 16
)

// mostBroad is how many rows a broad door has, and leastBroad how many voices share its width.
const mostBroad, leastBroad = 4, 6

// Widths of what stands before lines, in mm.
const doorMargin, mostDoorMargin = 12.0, 24.0

// doorSize is large for a few voices, and narrow and high for long rows.
func (f *flow) doorSize(d *say.Door) doorSize {
	widest := 0
	for i := range d.Lines {
		widest = max(widest, len(d.Lines[i].Voices))
	}
	size, across := wideDoor, d.Across
	switch {
	case widest <= 4 && len(d.Lines) <= 5:
		size = largeDoor
	case d.Across > 8:
		size = highDoor
	case len(d.Lines) <= mostBroad:
		size, across = broadDoor, max(widest, leastBroad)
	}
	size.bank, size.before = doorMargins(d)
	if size.width == 0 {
		size.width = (f.on().Width-2*edge-size.bank)/float64(across) - doorGap
	}
	size.longest = longestNames(d)
	size.plug = plugWidth(d, size)
	return size
}

// doorMargins are as wide as the names of banks and interfaces in 12 points, within limits.
func doorMargins(d *say.Door) (bank, before float64) {
	t := draw.Type{Size: doorLabel * point, Bold: true}
	wide := func(least float64, name string) float64 {
		return max(least, min(draw.Width(name, t)+1.6, mostDoorMargin))
	}
	bank, before = doorMargin, doorMargin
	for i := range d.Lines {
		bank = wide(bank, d.Lines[i].Bank)
	}
	for i := range d.Jacks {
		if box := d.Jacks[i].Box; box != "" {
			before = wide(max(before, 15), box)
		}
	}
	return bank, before
}

// longestNames are the widest names of voices, by bank: all of a bank are set alike.
func longestNames(d *say.Door) map[string]string {
	t, all := draw.Type{Size: 1, Bold: true}, map[string]string{}
	for i := range d.Lines {
		for _, v := range d.Lines[i].Voices {
			if draw.Width(v.Name, t) > draw.Width(all[v.Bank], t) {
				all[v.Bank] = v.Name
			}
		}
	}
	return all
}

// plugWidth is that of the jacks on all voices of a door: as wide as leaves room for names
// in 12 points, else in 9, but never too narrow for the numbers.
func plugWidth(d *say.Door, size doorSize) float64 {
	number := 0.0
	for i := range d.Lines {
		for j := range d.Lines[i].Voices {
			v := &d.Lines[i].Voices[j]
			number = max(number, leastPlug(v.Pitch), leastPlug(v.Gate))
		}
	}
	most, name := size.width-3-2*(number+0.8), 0.0
	for bank, longest := range size.longest {
		name = max(name, roomForName(bank, longest, most))
	}
	return max(number, min(size.jack*point*1.95, (size.width-3-name)/2-0.8))
}

// leastPlug is how wide the number of a jack is at least, with room beside it.
func leastPlug(number string) float64 {
	const beside, mostBox = 1.01, 7.5
	box, jack, ok := strings.Cut(number, ":")
	if !ok {
		return draw.Width(number, draw.Type{Size: 10.5 * point, Bold: true}) + beside
	}
	above, below := draw.Type{Size: 7.5 * point, Bold: true}, draw.Type{Size: doorLabelTight * point, Bold: true}
	return max(draw.Width(jack, below), min(draw.Width(box, above), mostBox)) + 1.7
}

// roomForName is what a name takes of so much room: in a line or with its number in another,
// in 12 points, else in 9, else with a number in brackets for the bank.
func roomForName(bank, name string, most float64) float64 {
	for _, points := range []float64{doorLabel, doorLabelTight} {
		t := draw.Type{Size: points * point, Bold: true}
		two := max(draw.Width(bank, t), draw.Width(strings.TrimPrefix(name, bank), t))
		for _, width := range []float64{draw.Width(name, t), two} {
			if width /= 0.99; width <= most {
				return width
			}
		}
	}
	return min(most, draw.Width("(10)"+strings.TrimPrefix(name, bank), draw.Type{Size: doorLabel * point, Bold: true})/0.99)
}
