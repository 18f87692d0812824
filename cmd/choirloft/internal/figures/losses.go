package figures

import (
	"cmp"
	"slices"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
)

// mark is a loss in its place.
type mark struct {
	x, y   float64
	ending string
	loss   *contract.Loss
	weight contract.Weight
	to     float64 // the place until when it would have been heard
	tail   bool    // only its tail is lost
	voice  int     // from 1; 0 for a note that was dropped
}

// placed is what is heard to be lost, where lanes have room for it.
type placed struct {
	labels []label
	faint  []faintGroup
}

// weighAll places what is heard to be lost.
func (f *lanes) weighAll() {
	if f.storey > 0 {
		heard := heardOf(f.marks())
		labels := f.labels(heard)
		f.heard = placed{labels, f.faint(heard, labels)}
	}
}

// lost draws the losses: what you would hear last, so that nothing hides it.
func (f *lanes) lost() {
	f.p.Clip(f.left-2, 0, f.width+4, f.p.Height)
	for _, m := range f.marks() {
		switch {
		case m.weight == contract.Unweighed:
			lossMark(f.p, m.ending, m.x, m.y, f.lane-f.storey)
		case m.weight == contract.Unheard || f.storey == 0:
			f.weighed(m.weight, wholly(m.ending), m.x, m.y)
		}
	}
	f.counted, f.lowered = false, false
	drawn := append(f.faintly(f.heard.faint), f.label(f.heard.labels)...)
	inOrder(drawn)
	for i, m := range drawn { // dashes between the marks
		end := far
		if i+1 < len(drawn) && drawn[i+1].voice == m.voice {
			end = drawn[i+1].x - markSize
		}
		f.missing(m, end)
	}
	f.p.Unclip()
	f.dropped()
}

// far is right of every picture.
const far = 1e9

// heardOf are the marks of what is heard, lane by lane.
func heardOf(marks []mark) []mark {
	heard := slices.DeleteFunc(slices.Clone(marks), func(m mark) bool { return m.weight != contract.Faint && m.weight != contract.Plainly })
	slices.SortStableFunc(heard, func(a, b mark) int { return cmp.Or(a.voice-b.voice, cmp.Compare(a.x, b.x)) })
	return heard
}

// marks are the losses in the window, the least heard first.
func (f *lanes) marks() (list []mark) {
	for _, m := range f.r.MarksOn(f.l) {
		if !f.inside(m.AtS) || m.Voice > 0 && !slices.Contains(f.shown, m.Voice-1) {
			continue
		}
		place := mark{x: f.x(m.AtS), y: f.bottom - f.lane + f.storey, ending: m.Ending, weight: m.Weight, to: f.x(min(m.WantedS, f.w.To)), tail: m.Tail, voice: m.Voice}
		if m.Voice > 0 {
			place.y = f.tops[m.Voice-1] + f.storey
		}
		if m.Loss >= 0 {
			place.loss = &f.r.Losses[m.Loss]
		}
		list = append(list, place)
	}
	slices.SortStableFunc(list, func(a, b mark) int { return int(a.weight) - int(b.weight) })
	return list
}

// Dashes of what is missing: long and level for a note, short and falling for a tail.
var (
	noteMissing = draw.Style{Stroke: draw.Accent, Width: 0.35, Dash: 1.1}
	tailMissing = draw.Style{Stroke: draw.Accent, Width: 0.35, Dash: 0.45}
)

// missing dashes what is missing, as long as it would have been heard, or to where the next
// mark begins: level for a key and a pedal, falling for a tail. Both stand below a label.
func (f *lanes) missing(m *mark, next float64) {
	from := m.x + 1.6 // behind the mark
	to := min(m.to, next)
	if f.storey == 0 || to-from < 0.5 {
		return
	}
	bottom := m.y - 0.2
	if !m.tail {
		f.p.Line(from, bottom, to, bottom, noteMissing)
		return
	}
	top := m.y - f.lift - 0.5
	slope := (bottom - top) / (m.to - m.x)
	f.p.Line(from, top+slope*(from-m.x), to, top+slope*(to-m.x), tailMissing)
}

// markSize is half of a mark's side where there is room, and markGap what is between it and the notes, in mm.
const markSize, markGap = 1.25, 0.3

// wholly tells whether a note with such an ending lost all of its key, or all but the shortest gate.
func wholly(ending string) bool { return ending == "born_cut" || ending == "dropped" }

// weighed draws a mark by how much is heard: a box with a cross, a triangle, a hairline. The triangle of a note that
// was stolen at once or dropped is full.
func (f *lanes) weighed(w contract.Weight, full bool, x, y float64) {
	r := markSize
	if f.storey == 0 {
		r = min(markSize, f.lane*0.45)
		y += r + f.lane*0.05
	} else {
		y -= r + markGap + f.lift
	}
	switch w {
	case contract.Plainly:
		f.p.Rect(x-r-0.25, y-r-0.25, 2*r+0.5, 2*r+0.5, draw.Fill(draw.Paper))
		f.p.Rect(x-r, y-r, 2*r, 2*r, draw.Fill(draw.Accent))
		k := r * 0.55
		f.p.Line(x-k, y-k, x+k, y+k, draw.Stroke(draw.Paper, 0.4))
		f.p.Line(x-k, y+k, x+k, y-k, draw.Stroke(draw.Paper, 0.4))
	case contract.Faint:
		k := r * 0.8
		fill := draw.Paper
		if full {
			fill = draw.Accent
		}
		f.p.Path([]draw.Point{{X: x - k, Y: y - k}, {X: x + k, Y: y - k}, {X: x, Y: y + k}, {X: x - k, Y: y - k}},
			draw.Style{Fill: fill, Stroke: draw.Accent, Width: 0.3})
	default:
		low := f.lane - f.storey
		if f.storey > 0 {
			y += r + markGap + f.lift
		} else {
			y -= r + f.lane*0.05
		}
		f.p.Line(x, y+low*0.1, x, y+low*0.9, draw.Stroke(draw.Dark, 0.15))
	}
}

// dropped names the lane of the notes that got no voice.
func (f *lanes) dropped() {
	if f.drops > 0 && f.lane > small*0.9 {
		f.p.Text(f.left-3, f.bottom-f.lane/2+0.9, "dropped", draw.Type{Size: small, Ink: draw.Accent, Align: draw.End})
	}
}

// lossMark draws a loss at the place where it happens, each kind in its own
// shape.
func lossMark(p *draw.Picture, ending string, x, y, lane float64) {
	r, m := min(1.3, lane*0.4), y+lane/2
	s := draw.Stroke(draw.Accent, 0.45)
	switch ending {
	case "tail_cut_other_key":
		p.Line(x, y+lane*0.1, x, y+lane*0.9, s)
	case "tail_cut_own_key":
		p.Line(x, y+lane*0.6, x, y+lane*0.9, draw.Stroke(draw.Dark, 0.35))
	case "overlap_only":
		p.Path([]draw.Point{{X: x - r, Y: m - r}, {X: x, Y: m}, {X: x - r, Y: m + r}}, s)
	case "late_start":
		p.Line(x-2*r, m, x, m, s)
		p.Line(x, m-r, x, m+r, s)
	case "pedal_cut":
		p.Path([]draw.Point{{X: x, Y: m - r}, {X: x + r, Y: m}, {X: x, Y: m + r}, {X: x - r, Y: m}, {X: x, Y: m - r}},
			draw.Style{Fill: draw.Paper, Stroke: draw.Accent, Width: 0.45})
	default: // damage: held, at birth, dropped
		if ending == "dropped" {
			p.Circle(x, m, r*1.2, draw.Style{Fill: draw.Paper, Stroke: draw.Accent, Width: 0.35})
		}
		if ending == "born_cut" {
			p.Rect(x-r, m-r, 2*r, 2*r, draw.Style{Fill: draw.Paper, Stroke: draw.Accent, Width: 0.35})
		}
		k := r * 0.85
		if ending == "held_cut" {
			k = r
		}
		p.Line(x-k, m-k, x+k, m+k, s)
		p.Line(x-k, m+k, x+k, m-k, s)
	}
}
