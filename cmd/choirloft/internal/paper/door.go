package paper

import (
	"slices"
	"strings"
	"time"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Measures of the sheet for the rack door, in mm. What must be read in five seconds by
// torchlight has 12 points, 4.23 mm of the em; nothing has less than 7.5, 2.65 mm.
const (
	doorHead   = 10.0 // height of the line with the name of the rig
	doorGap    = 0.6  // between voices
	point      = 0.3528
	doorStrip  = 9.6 // height of a line of jacks
	doorSignal = 2.2 // more of it where signals stand below
	doorLegend = 3.9

	// Points of names, and those where room is short: the capitals of 9 points are 2.3 mm
	// high, 12 minutes of arc at 65 cm, where a good eye needs 5.
	doorLabel, doorLabelTight = 12.0, 9.0
)

// doorTitle is that of the page, for viewers.
const doorTitle = "Rack door"

// door draws a rack on one page: its voices as they hang, and its jacks. What does not
// fit takes a second page.
func (f *flow) door(d *say.Door) {
	if f.keys != nil {
		f.keys.here = nil
	}
	f.edge(doorTitle)
	size := f.doorSize(d)
	f.doorHead(d)
	f.y = edge + doorHead
	x, width := edge, f.on().Width-2*edge
	if size.beside {
		x += size.bank + 4*(size.width+doorGap) + 5
		width -= x - edge
	}
	f.doorLines(d, size)
	down, pages := f.y, len(f.pages)
	if size.beside {
		f.y = edge + doorHead
	}
	d = f.doorJacks(d, x, width, size)
	if size.beside && len(f.pages) == pages { // not on a page of their own
		f.y = max(f.y, down)
	}
	f.writeDoorNotes(d)
	if f.bare {
		f.y = f.on().Height - 1
	}
}

// doorHead writes the rig, its voices and the plan code above a door, and between them
// draws what tells whether it was printed in its own size.
func (f *flow) doorHead(d *say.Door) {
	p, y := f.on(), edge+6.6
	const bar, ends = 125.0, 118.0
	x, small := edge+5+twoLines(p, edge, y, f.name, ends-edge, draw.Type{Size: 20 * point, Bold: true}), draw.Type{Size: 10 * point}
	if draw.Width(d.Head, small) < ends-x {
		p.Text(x, y, d.Head, small)
	}
	set := draw.Type{Size: max(fitting(d.SetUp, ends-edge, 9), 7.5*point), Bold: true}
	p.Text(edge, y+3.2, f.keys.fit(d.SetUp, ends-edge, set), set)
	p.Text(p.Width-edge, y, f.fingerprint, draw.Type{Size: 14 * point, Bold: true, Align: draw.End})
	below := d.Since
	if !f.o.Date.IsZero() {
		below = strings.TrimSuffix(f.o.Date.Format(time.DateOnly)+", "+below, ", ")
	}
	p.Text(p.Width-edge, y+3.2, below, draw.Type{Size: 7.5 * point, Align: draw.End})
	if !f.bare {
		checkBar(p, bar, y-0.5)
	}
}

// doorRoom begins a second page where a height does not fit above the notes.
func (f *flow) doorRoom(d *say.Door, height float64) {
	if f.bare || f.y+height+doorLegend*float64(len(f.doorNotes(d, say.DoorGoesOn))) <= f.on().Height-edge {
		return
	}
	f.writeDoorNotes(d, say.DoorGoesOn)
	f.edge(doorTitle)
	f.doorHead(d)
	f.y = edge + doorHead
}

// doorNotes say first of all what is given, and then what shapes and short names mean, and the caution.
func (f *flow) doorNotes(d *say.Door, first ...string) []string {
	all := slices.Concat(first, d.Keys)
	if f.keys != nil {
		for _, name := range f.keys.here {
			all = append(all, f.keys.key(name)+" is "+name)
		}
	}
	text := strings.TrimSuffix(strings.Join(append(all, d.Caution, f.o.Command), "  ·  "), "  ·  ")
	return foldCommand(text, f.on().Width-2*edge, draw.Type{Size: 8 * point})
}

// writeDoorNotes writes the notes at the foot, with the free jacks where there is room.
func (f *flow) writeDoorNotes(d *say.Door, first ...string) {
	full := *d
	full.Keys = slices.Concat(d.Keys, d.Free)
	lines := f.doorNotes(&full, first...)
	if f.y+doorLegend*float64(len(lines)) > f.on().Height-edge {
		lines = f.doorNotes(d, first...)
	}
	for _, line := range lines {
		f.y += doorLegend
		f.on().Text(edge, f.y-0.9, line, draw.Type{Size: 8 * point})
	}
}
