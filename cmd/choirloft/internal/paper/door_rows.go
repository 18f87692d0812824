package paper

import (
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Measures of jacks that have a name each, in mm.
const (
	ownJack  = 9.0  // width of a jack
	mostOwn  = 17.0 // of a jack with its name
	ownApart = 3.0  // between two rows in a line
	ownMore  = 2.7  // more height for a second line of names or of signals
)

// holdsRows tells whether there are rows, and each fits into a line.
func (size doorSize) holdsRows(rows []jackRow, width float64) bool {
	for i := range rows {
		if rows[i].places > size.columns {
			return false
		}
	}
	return len(rows) > 0 && size.ownWidth(rows, width) > ownJack+1
}

// ownWidth is that of a jack with its name, if as many rows stand beside each other as there can.
func (size doorSize) ownWidth(rows []jackRow, width float64) float64 {
	least := size.columns
	for i := range rows {
		least = min(least, rows[i].places)
	}
	beside := float64(size.columns / least)
	return min((width-beside*size.before-(beside-1)*ownApart)/float64(size.columns), mostOwn)
}

// doorRows draws rows of jacks, as many in a line as it has columns for.
func (f *flow) doorRows(d *say.Door, rows []jackRow, x, width float64, size doorSize) {
	each := size.ownWidth(rows, width)
	for len(rows) > 0 {
		n, places := 0, 0
		for n < len(rows) && places+rows[n].places <= size.columns {
			places += rows[n].places
			n++
		}
		f.doorRowLine(d, rows[:n], x, each, size.before)
		rows = rows[n:]
	}
}

// doorRowLine draws rows of jacks beside each other.
func (f *flow) doorRowLine(d *say.Door, rows []jackRow, x, each, before float64) {
	high := doorStrip
	texts := make([][]ownTexts, len(rows))
	for i := range rows {
		for j := range rows[i].jacks {
			one := f.ownTexts(&rows[i].jacks[j], each-0.5)
			texts[i] = append(texts[i], one)
			high = max(high, one.high())
		}
	}
	f.doorRoom(d, high)
	for i := range rows {
		f.stripHead(x, before, rows[i].box, rows[i].kind, rows[i].below)
		x += before
		for j := range rows[i].jacks {
			f.ownJack(&rows[i].jacks[j], &texts[i][j], rows[i].kind, x+each*(float64(j)+0.5))
		}
		x += each*float64(rows[i].places) + ownApart
	}
	f.y += high
}

// ownTexts are what stands below a jack: what it serves, and what a shared one carries.
type ownTexts struct {
	names   []string
	name    draw.Type
	signals []string
}

// high is the height of a jack with its texts.
func (x *ownTexts) high() float64 {
	high := doorStrip + ownMore*float64(max(0, len(x.names)-1))
	if n := len(x.signals); n > 0 {
		high += doorSignal + ownMore*float64(n-1)
	}
	return high
}

// ownTexts sets what stands below a jack in a width: the name in a line, or the number of a
// voice in another, else with a number in brackets.
func (f *flow) ownTexts(s *say.DoorSocket, width float64) (x ownTexts) {
	if s.Free {
		return x
	}
	x.name = draw.Type{Size: fitting(s.Label, width, doorLabel), Bold: true, Align: draw.Middle}
	x.names = []string{s.Label}
	number, ok := strings.CutPrefix(s.Label, s.Bank)
	if least := doorLabelTight * point; x.name.Size < least {
		x.name.Size = least
		if ok && s.Bank != "" && draw.Width(s.Bank, x.name) <= width {
			x.names = []string{s.Bank, number}
		} else {
			x.names[0] = f.keys.whole(s.Label, width, x.name)
		}
	}
	x.signals = f.ownSignals(s, width)
	return x
}

// ownSignals is what a shared jack carries: in full if three lines hold it.
func (f *flow) ownSignals(s *say.DoorSocket, width float64) []string {
	t := draw.Type{Size: 7.5 * point}
	if s.Signal == "" {
		return nil
	}
	if lines := draw.Wrap(s.Moves, width, t); s.Moves != "" && len(lines) <= 3 && strings.Join(lines, " ") == s.Moves {
		return lines
	}
	return []string{f.keys.whole(s.Signal, width, t)}
}

// ownJack draws a jack and what stands below it; a free one as a ring.
func (f *flow) ownJack(s *say.DoorSocket, texts *ownTexts, kind string, middle float64) {
	p := f.on()
	if s.Free {
		p.Circle(middle, f.y+2.5, 1.1, draw.Stroke(draw.Grey, 0.25))
		return
	}
	w, end := ownJack, 2.2
	f.doorJack(doorJack{s.Number, kind, s.Out, s.Signal != ""}, middle-w/2, w, end, 11)
	y := f.y + 8.7
	for i, name := range texts.names {
		if i > 0 {
			y += ownMore + 0.4
		}
		p.Text(middle, y, name, texts.name)
	}
	for i, signal := range texts.signals {
		p.Text(middle, y+2.4+ownMore*float64(i), signal, draw.Type{Size: 7.5 * point, Align: draw.Middle})
	}
}
