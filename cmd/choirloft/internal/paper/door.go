package paper

import (
	"math"
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
	doorBank   = 12.0 // width of what stands before a line of voices
	doorGap    = 0.6  // between voices
	point      = 0.3528
	doorStrip  = 9.6  // height of a line of jacks
	doorSignal = 2.2  // more of it where signals stand below
	doorBefore = 12.0 // width of what stands before a line of jacks
	doorLegend = 3.9

	// Points of what jacks serve, and those where room is short.
	doorLabel, doorLabelTight = 12.0, 9.0
	doorLeast                 = 9 // points of the number of a jack on a voice, such as 2:128
)

// mostDigits are those of a jack that have 10.5 points; a longer number has that of its
// interface before it.
const mostDigits = 3

// doorTitle is that of the page, for viewers.
const doorTitle = "Rack door"

// doorSize is how large the voices of a door are.
type doorSize struct {
	width, height, name, jack float64 // of a voice in mm; types in points
	plug                      float64 // width of the jacks on a voice
	named                     bool    // every jack has its name, in an interface at the right
	stacked                   bool    // what belongs to a voice stands one below the other
}

var (
	largeDoor = doorSize{width: 35, height: 26.6, name: 18, jack: 14, named: true}
	wideDoor  = doorSize{height: 17.4, name: 14, jack: 12}
	highDoor  = doorSize{height: 33, name: 13, jack: 12, stacked: true} // for rows of 9 to 16
)

// door draws a rack on one page: its voices as they hang, and its jacks. What does not
// fit takes a second page.
func (f *flow) door(d *say.Door) {
	if f.keys != nil {
		f.keys.here = nil
	}
	f.edge(doorTitle)
	size := f.doorSize(d)
	f.doorHead(d)
	x, width := edge, f.on().Width-2*edge
	f.y = edge + doorHead
	if size.named {
		x += doorBank + 4*(size.width+doorGap) + 5
		width -= x - edge
		f.doorLines(d, size)
		down, pages := f.y, len(f.pages)
		f.y = edge + doorHead
		f.doorJacks(d, x, width, (width-doorBefore)/8-1, doorLabel, true)
		if len(f.pages) == pages { // beside the voices, not on a page of their own
			f.y = max(f.y, down)
		}
	} else {
		f.doorLines(d, size)
		each, label := (width-doorBefore)/64-0.13, doorLabel
		if f.doorJacksEnd(d, x, width, each, label)+2*doorLegend > f.on().Height-edge {
			label = doorLabelTight
		}
		f.doorJacks(d, x, width, each, label, false)
	}
	f.writeDoorNotes(d)
	if f.bare {
		f.y = f.on().Height - 1
	}
}

// doorSize is large for a few voices, and narrow and high for long rows.
func (f *flow) doorSize(d *say.Door) doorSize {
	widest := 0
	for i := range d.Lines {
		widest = max(widest, len(d.Lines[i].Voices))
	}
	size := wideDoor
	size.width = (f.on().Width-2*edge-doorBank)/float64(d.Across) - doorGap
	switch {
	case widest <= 4 && len(d.Lines) <= 5:
		size = largeDoor
	case d.Across > 8:
		width := size.width
		size = highDoor
		size.width = width
	}
	size.plug = plugWidth(d, size)
	return size
}

// plugWidth is that of the jacks on all voices of a door: as wide as leaves room for four
// characters of a name at 12 points, but never too narrow for the numbers.
func plugWidth(d *say.Door, size doorSize) float64 {
	name, number := 0.0, 0.0
	digits := func(text string) {
		least := 10.5
		if len(text) > mostDigits {
			least = doorLeast
		}
		number = max(number, draw.Width(text, draw.Type{Size: least * point, Bold: true})+1.01)
	}
	for i := range d.Lines {
		for j := range d.Lines[i].Voices {
			v := &d.Lines[i].Voices[j]
			name = max(name, draw.Width(v.Name, draw.Type{Size: doorLabel * point, Bold: true})/0.99)
			digits(v.Pitch)
			digits(v.Gate)
		}
	}
	return max(number, min(size.jack*point*1.95, (size.width-3-name)/2-0.8))
}

// doorJacksEnd is how far down jacks reach on a page without an end.
func (f *flow) doorJacksEnd(d *say.Door, x, width, each, label float64) float64 {
	g := newFlow("", "", f.o)
	g.bare, g.keys = true, f.keys
	g.page("", true)
	g.y = f.y
	g.doorJacks(d, x, width, each, label, false)
	return g.y
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

func (f *flow) doorLines(d *say.Door, size doorSize) {
	for i := range d.Lines {
		l := &d.Lines[i]
		p := f.on()
		t := draw.Type{Size: 18 * point, Bold: true}
		if draw.Width(l.Bank, t) > doorBank-3 || l.Last != "" {
			t.Size = 12 * point
		}
		if i == 0 || d.Lines[i-1].Bank != l.Bank || l.Last != "" {
			p.Text(edge, f.y+size.height/2+2, l.Bank, t)
			if l.Last != "" {
				p.Text(edge, f.y+size.height/2+2+t.Size*1.2, "–"+l.Last, t)
			}
		}
		for j := range l.Voices {
			x := edge + doorBank + float64(j)*(size.width+doorGap)
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

// doorVoice draws a voice: its name, its jacks as a pill and a square, detune and pan,
// the address, and what it is if it is not simply in.
func (f *flow) doorVoice(v *say.DoorVoice, x float64, size doorSize) {
	y, w := f.y, size.width
	f.doorCell(v, x, size)
	name := draw.Type{Size: size.name * point, Bold: true}
	wide := size.plug
	room := w - 3 - 2*(wide+0.8)
	if width := draw.Width(v.Name, name); width > room {
		name.Size = max(name.Size*room/width*0.99, 7.5*point)
	}
	f.doorName(v, x, y+size.name*point*1.02, name)
	high := size.jack * point * 1.4
	right := x + w - 0.8
	f.doorPlug(v.Gate, true, v.Out, right-wide, y+0.8, wide, high, size.jack)
	f.doorPlug(v.Pitch, false, v.Out, right-2*wide-0.8, y+0.8, wide, high, size.jack)
	at := y + high + 1.2 + 11*point
	last := y + size.height - 1.2
	small := draw.Type{Size: 9 * point}
	f.plate(v.Out, x+2.4, last, v.Address, small)
	raised := f.doorStanding(v, x, last, w-5-draw.Width(v.Address, small), w)
	f.doorDetune(v, x, at, w, raised || len(v.Via) > 0)
	if len(v.Via) > 0 {
		t := draw.Type{Size: 7.5 * point, Bold: true}
		f.plate(v.Out, x+2.4, last-3, f.keys.fit(strings.Join(v.Via, ", "), w-3.6, t), t)
	}
}

// doorStanding says at the foot of a voice what it is if it is not simply in; where there is
// no room beside the address it is raised to the line above.
func (f *flow) doorStanding(v *say.DoorVoice, x, y, room, w float64) (raised bool) {
	text, t := v.Standing, draw.Type{Size: 8 * point, Bold: true, Align: draw.End}
	least := draw.Type{Size: 7.5 * point, Bold: true}
	if draw.Width(text, least) > room {
		if len(v.Via) == 0 {
			y, room, raised = y-3, w-3.6, true
		} else if _, keys, ok := strings.Cut(text, " "); ok {
			text = keys // that it is limited shows
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

// doorName writes the name of a voice, struck through where it is out.
func (f *flow) doorName(v *say.DoorVoice, x, y float64, t draw.Type) {
	f.plate(v.Out, x+2.4, y, v.Name, t)
	if v.Out {
		f.on().Line(x+2, y-t.Size*0.34, x+3+draw.Width(v.Name, t), y-t.Size*0.34, draw.Stroke(draw.Black, 0.5))
	}
}

// doorStack draws a voice that is narrow and high: one thing below the other.
func (f *flow) doorStack(v *say.DoorVoice, x float64, size doorSize) {
	f.doorCell(v, x, size)
	y, room := f.y, size.width-3
	name := draw.Type{Size: size.name * point, Bold: true}
	if width := draw.Width(v.Name, name); width > room {
		name.Size = max(name.Size*room/width*0.99, 7.5*point)
	}
	f.doorName(v, x, y+4.6, name)
	const high = 5.4
	f.doorPlug(v.Pitch, false, v.Out, x+2.2, y+5.8, room, high, size.jack)
	f.doorPlug(v.Gate, true, v.Out, x+2.2, y+11.6, room, high, size.jack)
	const down = 16.6
	var texts []stackText
	for _, detune := range []int{2, 1, 0} {
		if texts = stackTexts(v, room, detune); heightOfTexts(texts) <= size.height-down {
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
func stackTexts(v *say.DoorVoice, room float64, detune int) (all []stackText) {
	add := func(text string, points float64, bold bool) {
		t := draw.Type{Size: points * point, Bold: bold}
		if width := draw.Width(text, t); width > room {
			t.Size = max(t.Size*room/width*0.99, 7.5*point)
		}
		for _, line := range draw.Wrap(text, room, t) {
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
		detune = []say.DoorDetune{{Cents: "detune: see the list"}}
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
			t.Size = max(t.Size*room/width*0.99, 7.5*point)
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
	if width := draw.Width(number, t); width > w-1 {
		t.Size *= (w - 1) / width
	}
	p.Text(x+w/2, y+h/2+t.Size*0.365, number, t)
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

// doorJacks draws the jacks that are plugged, kind by kind, those in a row under one name;
// each is so wide.
func (f *flow) doorJacks(d *say.Door, x, width, each, label float64, named bool) {
	for i := range d.Jacks {
		g := &d.Jacks[i]
		each := max(each, widest(g)+0.4)
		at, high := x+doorBefore, doorStrip-(doorLabel-label)*point
		if g.Runs[0].Signal != "" {
			high += doorSignal
		}
		first := true
		for j := range g.Runs {
			for _, r := range split(&g.Runs[j], named, int((width-doorBefore)/each)) {
				wide := f.runWidth(&r, each, label)
				if first || at+wide > x+width {
					if !first {
						f.y += high
					}
					f.doorRoom(d, high)
					at = x + doorBefore
					f.on().Text(x, f.y+4, g.Kind, draw.Type{Size: 12 * point, Bold: true})
					f.on().Text(x, f.y+8, g.Signal, draw.Type{Size: 8 * point})
					first = false
				}
				f.doorRun(&r, g.Kind, at, wide, each, label, named)
				at += wide + 1
			}
		}
		f.y += high
	}
}

// split makes a jack of each of a run where they are wide enough for their own names, else
// runs of so many jacks at most.
func split(r *say.DoorRun, named bool, most int) (all []say.DoorRun) {
	if named {
		most = 1
	}
	for from := 0; from < len(r.Numbers); from += most {
		to := min(from+most, len(r.Numbers))
		one := say.DoorRun{Numbers: r.Numbers[from:to], Out: r.Out[from:to], Label: r.Label, Signal: r.Signal}
		if r.Signal == "" && to-from < len(r.Numbers) {
			one.Label = r.Names[from]
			if to-from > 1 {
				one.Label += " – " + r.Names[to-1]
			}
		}
		all = append(all, one)
	}
	return all
}

func (f *flow) runWidth(r *say.DoorRun, each, points float64) float64 {
	label := draw.Width(r.Label, draw.Type{Size: points * point, Bold: true})
	return max(each*float64(len(r.Numbers)), label+0.6, draw.Width(r.Signal, draw.Type{Size: 7.5 * point})+0.6)
}

// widest is how wide the longest number of a jack is in the least type, in mm.
func widest(g *say.DoorJacks) (most float64) {
	for i := range g.Runs {
		for _, number := range g.Runs[i].Numbers {
			most = max(most, draw.Width(number, draw.Type{Size: 7.5 * point, Bold: true}))
		}
	}
	return most
}

// doorRun draws jacks in a row, a bracket below several, and what they serve.
func (f *flow) doorRun(r *say.DoorRun, kind string, x, width, each, label float64, named bool) {
	p := f.on()
	jack := each - 0.25
	if named {
		jack = 9
	}
	left := x + (width-each*float64(len(r.Numbers)))/2
	for i, number := range r.Numbers {
		t := draw.Type{Size: 7.5 * point, Bold: true, Align: draw.Middle, Ink: draw.Paper}
		if named {
			t.Size = 11 * point
		}
		style := draw.Fill(draw.Black)
		switch {
		case r.Out[i]:
			style, t.Ink = outOfService, draw.Black
		case r.Signal != "":
			style, t.Ink = draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.3}, draw.Black
		}
		at := left + each*float64(i) + (each-jack)/2
		switch {
		case kind == "gt":
			p.Rect(at, f.y+0.3, jack, 4.4, style)
		case named || r.Signal != "":
			pill(p, at-0.4, f.y+0.3, jack+0.8, 4.4, 2.2, style)
		default: // side by side
			pill(p, at, f.y+0.3, jack, 4.4, 0.9, style)
		}
		if w := draw.Width(number, t); w > jack-0.15 {
			t.Size *= (jack - 0.15) / w
		}
		p.Text(at+jack/2, f.y+2.5+t.Size*0.365, number, t)
	}
	if n := len(r.Numbers); n > 1 {
		s := draw.Stroke(draw.Black, 0.2)
		p.Line(left+1, f.y+5.3, left+each*float64(n)-1, f.y+5.3, s)
		p.Line(left+1, f.y+4.9, left+1, f.y+5.3, s)
		p.Line(left+each*float64(n)-1, f.y+4.9, left+each*float64(n)-1, f.y+5.3, s)
	}
	p.Text(x+width/2, f.y+8.7-(doorLabel-label)*point*0.75, r.Label, draw.Type{Size: label * point, Bold: true, Align: draw.Middle})
	if r.Signal != "" {
		t := draw.Type{Size: 7.5 * point, Align: draw.Middle}
		p.Text(x+width/2, f.y+11.1-(doorLabel-label)*point, r.Signal, t)
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
			if !slices.Contains(d.Short, name) {
				all = append(all, f.keys.key(name)+" is "+name)
			}
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
