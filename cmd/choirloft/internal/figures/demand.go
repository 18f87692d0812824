package figures

import (
	"fmt"
	"sort"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/profiles/unit"
)

// demand draws how many voices are wanted at each time, stacked: keys down,
// kept by a pedal, audible tails; the line of those there are; and what is over
// it, from a height on. It ends at twice the voices there are: what is above is told in words.
func (f *lanes) demand(top float64) {
	a := f.area
	have := f.r.Demand.Voices
	most := have
	for _, list := range [][]contract.DepthStep{f.l.Held, f.l.Pedal, f.l.Audible} {
		most = max(most, peak(list, f.w))
	}
	a.top, a.height, a.fromY, a.toY = top+5, curve-6, 0, min(ceiling(float64(most)), float64(2*max(have, 1)))
	a.levels("voices needed")
	a.p.Clip(a.left, a.top, a.width, a.height)
	for _, c := range []struct {
		list []contract.DepthStep
		ink  draw.Ink
	}{{f.l.Audible, draw.Grey}, {f.l.Pedal, draw.Dark}, {f.l.Held, draw.Deep}} {
		a.steps(c.list, f.w, 0, draw.Fill(c.ink))
	}
	if short := peak(f.l.Pedal, f.w); short > have {
		a.steps(f.l.Pedal, f.w, float64(have), draw.Fill(draw.Accent))
	}
	a.p.Unclip()
	y := a.y(float64(have))
	a.p.Line(a.left, y, a.left+a.width, y, draw.Style{Stroke: draw.Black, Width: 0.45, Dash: 1.5})
	a.p.Line(a.left, a.y(0), a.left+a.width, a.y(0), draw.Stroke(draw.Black, 0.3))
	f.wanted = a
	f.demandLegend(top, have, most, float64(most) > a.toY)
}

// Measures in mm of the least that a moment with too few voices takes, and of the rim that sets it off in grey print.
const fewWide, fewHigh, fewRim = 0.8, 1.8, 0.25

// tooFew marks on the line of voices in service when they are too few, the shortest moments wide enough to be seen.
func (f *lanes) tooFew() {
	a, have := &f.wanted, f.r.Demand.Voices
	moments := f.l.TooFew(have, f.w)
	for _, rim := range []float64{fewRim, 0} { // all rims first: none cuts the next
		ink := draw.Accent
		if rim > 0 {
			ink = draw.Paper
		}
		for _, m := range moments {
			if wide := a.x(m.To) - a.x(m.From); wide < fewWide {
				x := max(a.left, min(a.x(m.From)+wide/2-fewWide/2, a.left+a.width-fewWide))
				f.p.Rect(x-rim, a.y(float64(have))-fewHigh-rim, fewWide+2*rim, fewHigh+2*rim, draw.Fill(ink))
			}
		}
	}
}

// demandLegend stands above the curve, with the peak where it is higher.
func (f *lanes) demandLegend(top float64, have, most int, over bool) {
	x, t := f.left, draw.Type{Size: small}
	item := func(text string, s draw.Style) {
		if s.Fill != draw.None {
			f.p.Rect(x, top+0.6, 4, 2.2, s)
		} else {
			f.p.Line(x, top+1.7, x+4, top+1.7, s)
		}
		f.p.Text(x+5.2, top+2.7, text, t)
		x += 10 + draw.Width(text, t)
	}
	item("keys down", draw.Fill(draw.Deep))
	item("and kept by a pedal", draw.Fill(draw.Dark))
	item("and audible tails", draw.Fill(draw.Grey))
	item(fmt.Sprintf("%s in service", unit.Count(have, "voice")), draw.Style{Stroke: draw.Black, Width: 0.45, Dash: 1.2})
	if peak(f.l.Pedal, f.w) > have {
		item("too few", draw.Fill(draw.Accent))
	}
	if over {
		f.p.Text(x, top+2.7, fmt.Sprintf("peak %d, beyond the top", most), t)
	}
}

// peak is the most within a window.
func peak(list []contract.DepthStep, w contract.Window) int {
	most := 0
	for i := first(list, w.From); i < len(list) && list[i].AtS < w.To; i++ {
		most = max(most, list[i].Voices)
	}
	return most
}

// first is the step that holds at a time.
func first(list []contract.DepthStep, at float64) int {
	return max(0, sort.Search(len(list), func(i int) bool { return list[i].AtS > at })-1)
}

// steps fills between a level and a curve of steps above it.
func (a *area) steps(list []contract.DepthStep, w contract.Window, level float64, s draw.Style) {
	if len(list) == 0 {
		return
	}
	base := a.y(level)
	points := []draw.Point{{X: a.left, Y: base}}
	y := base
	for i := first(list, w.From); i < len(list) && list[i].AtS < w.To; i++ {
		x := max(a.left, a.x(list[i].AtS))
		next := a.y(max(level, float64(list[i].Voices)))
		if list[i].AtS > w.From || i > 0 {
			points = append(points, draw.Point{X: x, Y: y}, draw.Point{X: x, Y: next})
		} else {
			points = append(points, draw.Point{X: x, Y: next})
		}
		y = next
	}
	points = append(points, draw.Point{X: a.left + a.width, Y: y}, draw.Point{X: a.left + a.width, Y: base})
	a.p.Path(points, s)
}
