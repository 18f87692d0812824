package paper

import (
	"slices"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// doorJacks draws the jacks that are plugged, in the first way that leaves room for the notes: each
// in its place with a name of its own, packed, or in brackets with names that are more and more
// tight. The last way may go on to another page. It returns the door with what there is to explain.
func (f *flow) doorJacks(d *say.Door, x, width float64, size doorSize) *say.Door {
	ways := f.jackWays(d, x, width, size)
	if rows := placedRows(d); size.holdsRows(rows, width) && f.roomFor(rows, size) {
		ringed := *d
		if slices.ContainsFunc(rows, jackRow.hasFree) {
			ringed.Keys = append(slices.Clone(d.Keys), say.DoorRing)
		}
		draws := func(f *flow, d *say.Door) { f.doorRows(d, rows, x, width, size) }
		if f.holdsJacks(&ringed, draws) {
			draws(f, &ringed)
			return &ringed
		}
	}
	for i, draws := range ways {
		if i == len(ways)-1 || f.holdsJacks(d, draws) {
			draws(f, d)
			break
		}
	}
	return d
}

// holdsJacks tells whether the page holds jacks, and the notes below them.
func (f *flow) holdsJacks(d *say.Door, draws func(*flow, *say.Door)) bool {
	g := newFlow("", "", f.o)
	g.bare, g.keys = true, f.keys.clone()
	g.page("", true)
	g.y = f.y
	draws(g, d)
	return g.y+doorLegend*float64(len(g.doorNotes(d, say.DoorGoesOn))) <= g.on().Height-edge
}

// roomFor tells whether there may be room for rows of jacks: a trial is not needed where there is none.
func (f *flow) roomFor(rows []jackRow, size doorSize) bool {
	places := 0
	for i := range rows {
		places += rows[i].places
	}
	return f.y+doorStrip*float64(places)/float64(size.columns) < f.on().Height-edge
}

// jackWays are the ways to draw the jacks of a door elsewhere than in their places.
func (f *flow) jackWays(d *say.Door, x, width float64, size doorSize) (ways []func(*flow, *say.Door)) {
	if size.columns > 0 {
		rows := packedRows(d)
		if size.beside || f.roomFor(rows, size) {
			ways = append(ways, func(f *flow, d *say.Door) { f.doorRows(d, rows, x, width, size) })
		}
	}
	if size.beside {
		return ways
	}
	for _, s := range []runStyle{{doorLabel, false}, {doorLabelTight, false}, {doorLabelTight, true}} {
		ways = append(ways, func(f *flow, d *say.Door) { f.doorRuns(d, x, width, size.before, s) })
	}
	return ways
}

// runStyle is how large names are below jacks in brackets, in points, and whether they may be no
// wider than their jacks or leastRun.
type runStyle struct {
	label float64
	tight bool
}

// leastRun is how wide a name below jacks may be at least, in mm.
const leastRun = 20.0

// high is the height of a line of jacks.
func (s runStyle) high(g *say.DoorJacks) float64 {
	high := doorStrip - (doorLabel-s.label)*point
	if g.Runs[0].Signal != "" {
		high += doorSignal
	}
	return high
}

// doorRuns draws jacks kind by kind, those in a row under one name.
func (f *flow) doorRuns(d *say.Door, x, width, before float64, s runStyle) {
	for i := range d.Jacks {
		g := &d.Jacks[i]
		each, high := max((width-before)/64-0.13, widest(g)+0.4), s.high(g)
		at, first := x+before, true
		for j := range g.Runs {
			for _, r := range split(&g.Runs[j], int((width-before)/each)) {
				wide := f.fitRun(&r, each, width-before, s)
				if first || at+wide > x+width {
					if !first {
						f.y += high
					}
					f.doorRoom(d, high)
					at, first = x+before, false
					f.stripHead(x, before, g.Box, g.Kind, g.Signal)
				}
				f.doorRun(&r, g.Kind, at, wide, each, s.label)
				at += wide + 1
			}
		}
		f.y += high
	}
}

// stripHead writes what stands before a line of jacks: the interface where there are several,
// else the kind of jacks, and more of it below.
func (f *flow) stripHead(x, before float64, box, kind, below string) {
	large, small := draw.Type{Size: doorLabel * point, Bold: true}, draw.Type{Size: 8 * point}
	if box == "" {
		f.on().Text(x, f.y+4, kind, large)
		f.on().Text(x, f.y+8, below, small)
		return
	}
	large.Size = max(fitting(box, before-1, doorLabel), doorLabelTight*point)
	f.on().Text(x, f.y+4, f.keys.whole(box, before-1, large), large)
	f.on().Text(x, f.y+8, kind+" "+below, small)
}

// split makes runs of so many jacks at most of one.
func split(r *say.DoorRun, most int) (all []say.DoorRun) {
	for from := 0; from < len(r.Numbers); from += most {
		to := min(from+most, len(r.Numbers))
		one := *r
		one.Numbers, one.Out = r.Numbers[from:to], r.Out[from:to]
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

// fitRun makes what stands below a run fit, and returns how wide it is then.
func (f *flow) fitRun(r *say.DoorRun, each, most float64, s runStyle) float64 {
	jacks := each * float64(len(r.Numbers))
	label, signal := draw.Type{Size: s.label * point, Bold: true}, draw.Type{Size: 7.5 * point}
	if s.tight {
		most = max(jacks, leastRun)
	} else if r.Moves != "" {
		r.Signal = r.Moves
	}
	r.Label, r.Signal = f.keys.whole(r.Label, most-0.6, label), f.keys.whole(r.Signal, most-0.6, signal)
	return max(jacks, draw.Width(r.Label, label)+0.6, draw.Width(r.Signal, signal)+0.6)
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
func (f *flow) doorRun(r *say.DoorRun, kind string, x, width, each, label float64) {
	p, n := f.on(), len(r.Numbers)
	left := x + (width-each*float64(n))/2
	for i, number := range r.Numbers {
		end := 0.9 // side by side
		if r.Signal != "" {
			end = 2.2
		}
		f.doorJack(doorJack{number, kind, r.Out[i], r.Signal != ""}, left+each*float64(i)+0.125, each-0.25, end, 7.5)
	}
	if n > 1 {
		s := draw.Stroke(draw.Black, 0.2)
		from, to := left+1, left+each*float64(n)-1
		p.Line(from, f.y+5.3, to, f.y+5.3, s)
		p.Line(from, f.y+4.9, from, f.y+5.3, s)
		p.Line(to, f.y+4.9, to, f.y+5.3, s)
	}
	p.Text(x+width/2, f.y+8.7-(doorLabel-label)*point*0.75, r.Label, draw.Type{Size: label * point, Bold: true, Align: draw.Middle})
	if r.Signal != "" {
		t := draw.Type{Size: 7.5 * point, Align: draw.Middle}
		p.Text(x+width/2, f.y+11.1-(doorLabel-label)*point, r.Signal, t)
	}
}

// doorJack is a jack in a line of them.
type doorJack struct {
	number, kind string
	out, shared  bool
}

// doorJack draws a jack with its number in it: a square for a gate, else a pill whose ends go so
// far in.
func (f *flow) doorJack(j doorJack, x, w, end, points float64) {
	p := f.on()
	t := draw.Type{Size: points * point, Bold: true, Align: draw.Middle, Ink: draw.Paper}
	style := draw.Fill(draw.Black)
	switch {
	case j.out:
		style, t.Ink = outOfService, draw.Black
	case j.shared:
		style, t.Ink = draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.3}, draw.Black
	}
	if j.kind == "gt" {
		p.Rect(x, f.y+0.3, w, 4.4, style)
	} else {
		pill(p, x, f.y+0.3, w, 4.4, end, style)
	}
	t.Size = min(t.Size, fitting(j.number, w-0.15, points))
	p.Text(x+w/2, f.y+2.5+t.Size*0.365, j.number, t)
}

// jackRow is jacks beside each other with a name each: those of a connector, or some in a row.
type jackRow struct {
	box, kind, below string
	places           int // that a whole one has
	jacks            []say.DoorSocket
}

// hasFree tells whether a jack of a row is free.
func (r jackRow) hasFree() bool {
	return slices.ContainsFunc(r.jacks, func(s say.DoorSocket) bool { return s.Free })
}

// placedRows has a row for each connector with a cable in it.
func placedRows(d *say.Door) (rows []jackRow) {
	for i := range d.Connectors {
		c := &d.Connectors[i]
		rows = append(rows, jackRow{c.Box, c.Kind, c.Title(), min(c.Places, max(len(c.Jacks), 8)), c.Jacks})
	}
	return rows
}

// packedRows has rows of eight jacks that are plugged, kind by kind.
func packedRows(d *say.Door) (rows []jackRow) {
	const most = 8
	for i := range d.Jacks {
		g := &d.Jacks[i]
		var all []say.DoorSocket
		for j := range g.Runs {
			all = append(all, socketsOf(&g.Runs[j])...)
		}
		for part := range slices.Chunk(all, most) {
			rows = append(rows, jackRow{g.Box, g.Kind, g.Signal, most, part})
		}
	}
	return rows
}

// socketsOf are the jacks of a run, each with its own name.
func socketsOf(r *say.DoorRun) (all []say.DoorSocket) {
	for i, number := range r.Numbers {
		one := say.DoorSocket{Number: number, Out: r.Out[i], Label: r.Label, Bank: r.Bank, Signal: r.Signal, Moves: r.Moves}
		if r.Signal == "" {
			one.Label = r.Names[i]
		}
		all = append(all, one)
	}
	return all
}
