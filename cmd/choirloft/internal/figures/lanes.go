package figures

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Window is a part of a song, in seconds.
type Window struct{ From, To float64 }

// All is the whole song.
func All(l *contract.Lanes) Window { return Window{0, max(l.Seconds, 0.001)} }

// Bars is the window from one bar to the end of another, counted from 1; 0 is
// the start or the end of the song. It fails where there is no such bar.
func Bars(l *contract.Lanes, from, to int) (Window, error) {
	w := All(l)
	last := len(l.Bars)
	switch {
	case from < 0 || to < 0 || from > last || to > last:
		return w, fmt.Errorf("the song has the bars 1 to %d", last)
	case to > 0 && from > to:
		return w, fmt.Errorf("bar %d is after bar %d", from, to)
	}
	if from > 0 {
		w.From = l.Bars[from-1].AtS
	}
	if to > 0 && to < last {
		w.To = l.Bars[to].AtS
	}
	if w.To <= w.From {
		return w, fmt.Errorf("nothing sounds there, in bars %d to %d", max(from, 1), cmp.Or(to, last))
	}
	return w, nil
}

// Split cuts a window into several of at most so many bars, or as many times two
// seconds in a song without bars.
func Split(l *contract.Lanes, w Window, bars int) []Window {
	var starts []float64
	if l.HasBars {
		for _, b := range l.Bars {
			if b.AtS > w.From && b.AtS < w.To {
				starts = append(starts, b.AtS)
			}
		}
	} else {
		for t := w.From + 2; t < w.To; t += 2 {
			starts = append(starts, t)
		}
	}
	windows := []Window{w}
	for i := bars - 1; i < len(starts); i += bars {
		windows[len(windows)-1].To = starts[i]
		windows = append(windows, Window{starts[i], w.To})
	}
	if n := len(windows) - 1; n > 0 && windows[n].To-windows[n].From < shred*(windows[n-1].To-windows[n-1].From) {
		windows[n-1].To, windows = windows[n].To, windows[:n]
	}
	return windows
}

// shred is what is left of a song at its end that gets no page of its own, as a
// share of a page: such as the overlap of a last chord.
const shred = 0.03

// Measures of a picture of lanes, in mm.
const (
	nameWidth  = 17.0
	curve      = 38.0 // height of the demand curve
	axisHeight = 9.0
	legend     = 12.0
	bankGap    = 1.2
	tallest    = 7.0 // of a lane
)

// Tallest is the height in mm above which a picture of lanes only gains white.
func Tallest(l *contract.Lanes) float64 {
	return curve + 6 + tallest*float64(len(l.Voices)+1) + float64(bankGaps(l))*bankGap + axisHeight + legend
}

// bankGaps counts the places between banks.
func bankGaps(l *contract.Lanes) (gaps int) {
	for i := 1; i < len(l.Voices); i++ {
		if l.Voices[i].Bank != l.Voices[i-1].Bank {
			gaps++
		}
	}
	return gaps
}

// Lanes draws a window of a song: the demand curve, a lane for each voice, the
// bars and a legend, on a picture of a size in mm.
func Lanes(l *contract.Lanes, r *contract.Result, w Window, width, height float64) *draw.Picture {
	p := draw.New(width, height)
	p.Title = "What the voices of " + say.SongLabel(&r.Song) + " play"
	f := &lanes{l: l, r: r, w: w, area: area{p: p, left: nameWidth, width: width - nameWidth - 2, fromX: w.From, toX: w.To}}
	f.demand()
	f.grid(height)
	f.spans(height)
	f.dropped()
	f.axis()
	f.legend()
	return p
}

type lanes struct {
	area
	l      *contract.Lanes
	r      *contract.Result
	w      Window
	tops   []float64 // of lanes
	lane   float64   // height of one
	bottom float64   // of all
}

// grid lays the lanes out, banks apart, and draws their names and the bars.
func (f *lanes) grid(height float64) {
	top := curve + 6
	room := height - top - axisHeight - legend - float64(bankGaps(f.l))*bankGap
	f.lane = max(0.8, min(tallest, room/float64(len(f.l.Voices)+1))) // one for what was dropped
	y := top
	for i, v := range f.l.Voices {
		if i > 0 && v.Bank != f.l.Voices[i-1].Bank {
			y += bankGap
		}
		f.tops = append(f.tops, y)
		f.name(i, y)
		y += f.lane
	}
	f.bottom = y + f.lane
	f.bars(5, curve-1)
	f.bars(top, f.bottom)
	for i, y := range f.tops {
		if i == 0 || f.l.Voices[i].Bank != f.l.Voices[i-1].Bank {
			f.p.Line(f.left, y, f.left+f.width, y, draw.Stroke(draw.Grey, 0.2))
		}
		f.p.Line(f.left, y+f.lane, f.left+f.width, y+f.lane, draw.Stroke(draw.Light, 0.12))
	}
}

// name writes the name of a voice before its lane; where lanes are thin, only
// that of the first of its bank.
func (f *lanes) name(i int, y float64) {
	v := &f.l.Voices[i]
	t := draw.Type{Size: min(body, max(small, f.lane*0.7)), Align: draw.End}
	text, first := v.Name, i == 0 || v.Bank != f.l.Voices[i-1].Bank
	serves := v.State == "in" || v.State == "limited"
	if f.lane < t.Size*0.95 {
		if !first {
			return
		}
		y += (t.Size*1.1 - f.lane) / 2
	} else if !serves {
		text += " " + v.State
		t.Ink = draw.Dark
	}
	f.p.Text(f.left-1.5, y+f.lane/2+t.Size*0.36, draw.FitName(text, nameWidth-2, t), t)
	if !serves {
		f.p.Rect(f.left, f.tops[i], f.width, f.lane, draw.Fill(draw.Faint))
	}
}

// bars draws the bar lines, fewer where they would be close.
func (f *lanes) bars(top, bottom float64) {
	step := f.barStep(1.5)
	for i, b := range f.l.Bars {
		if i%step == 0 && b.AtS >= f.w.From && b.AtS <= f.w.To {
			f.p.Line(f.x(b.AtS), top, f.x(b.AtS), bottom, draw.Stroke(draw.Light, 0.2))
		}
	}
}

// barStep is how many bars apart lines are so that they are a width apart.
func (f *lanes) barStep(width float64) int {
	in := 0
	for _, b := range f.l.Bars {
		if b.AtS >= f.w.From && b.AtS < f.w.To {
			in++
		}
	}
	most := f.width / width
	return int(nice(float64(in)/most, 1))
}

// axis numbers bars and names times.
func (f *lanes) axis() {
	y := f.bottom
	f.p.Line(f.left, y, f.left+f.width, y, draw.Stroke(draw.Black, 0.3))
	t := draw.Type{Size: small, Align: draw.Middle}
	if f.l.HasBars {
		step := f.barStep(9)
		for _, b := range f.l.Bars {
			if (b.Bar-1)%step == 0 && b.AtS >= f.w.From && b.AtS < f.w.To {
				f.p.Line(f.x(b.AtS), y, f.x(b.AtS), y+1.2, draw.Stroke(draw.Black, 0.25))
				f.p.Text(f.x(b.AtS), y+3.8, strconv.Itoa(b.Bar), t)
			}
		}
		f.p.Text(f.left-3, y+3.8, "bar", draw.Type{Size: small, Ink: draw.Dark, Align: draw.End})
	}
	t.Ink = draw.Dark
	step := nice((f.w.To-f.w.From)/(f.width/22), 0.1)
	for n := int(f.w.From/step) + 1; float64(n)*step < f.w.To; n++ {
		f.p.Text(f.x(float64(n)*step), y+7.4, clock(float64(n)*step, step < 1), t)
	}
	f.p.Text(f.left-3, y+7.4, "min:s", draw.Type{Size: small, Ink: draw.Dark, Align: draw.End})
}

// spans draws what each voice plays: a filled bar while the key is down, an open
// one while a pedal holds, a wedge while the tail fades; then the losses. What
// looks alike is drawn together, as a file
// then says its look once.
func (f *lanes) spans(height float64) {
	f.p.Clip(f.left, 0, f.width, height)
	f.each(func(s *contract.LaneSpan, y, h float64) {
		if s.EndS > s.LowS {
			f.wedge(s, y, h)
		}
	})
	f.each(func(s *contract.LaneSpan, y, h float64) {
		if s.UpS > s.StartS {
			f.key(f.x(s.StartS), f.x(s.UpS), y, h)
		}
	})
	f.each(func(s *contract.LaneSpan, y, h float64) {
		if s.LowS > s.UpS {
			f.p.Rect(f.x(s.UpS), y, f.x(s.LowS)-f.x(s.UpS), h, draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.25})
		}
	})
	for _, ending := range f.endings() {
		for i := range f.l.Spans {
			s := &f.l.Spans[i]
			if s.Ending == ending && s.EndS >= f.w.From && s.EndS <= f.w.To {
				lossMark(f.p, s.Ending, f.x(s.EndS), f.tops[s.Voice-1], f.lane)
			}
		}
	}
	for i := range f.l.Spans {
		if s := &f.l.Spans[i]; s.LateStart && s.StartS >= f.w.From && s.StartS <= f.w.To {
			lossMark(f.p, "late_start", f.x(s.StartS), f.tops[s.Voice-1], f.lane)
		}
	}
	f.p.Unclip()
}

// each visits the spans that are seen, with the top and the height of their
// bars.
func (f *lanes) each(visit func(s *contract.LaneSpan, y, h float64)) {
	for i := range f.l.Spans {
		s := &f.l.Spans[i]
		if s.EndS > f.w.From && s.StartS < f.w.To {
			visit(s, f.tops[s.Voice-1]+f.lane*0.12, f.lane*0.76)
		}
	}
}

// endings lists those that took a voice from a note, the harmless ones first.
func (f *lanes) endings() (list []string) {
	for i := range f.l.Spans {
		if e := f.l.Spans[i].Ending; e != "" && !slices.Contains(list, e) {
			list = append(list, e)
		}
	}
	slices.Sort(list)
	slices.Reverse(list) // tails before pedals before keys
	return list
}

// key draws a key that is down. Where there is room a gap before it sets it
// apart from the note before.
func (f *lanes) key(x0, x1, y, h float64) {
	const gap = 0.35
	if x1-x0 > 3*gap {
		x0 += gap
	}
	f.p.Rect(x0, y, max(x1-x0, 0.1), h, draw.Fill(draw.Black))
}

// wedge draws a tail: it falls to nothing, or to where it is cut.
func (f *lanes) wedge(s *contract.LaneSpan, y, h float64) {
	end := 0.0
	if s.Ending != "" {
		end = 0.35
	}
	x0, x1 := f.x(s.LowS), f.x(s.EndS)
	f.p.Path([]draw.Point{{X: x0, Y: y + h*0.25}, {X: x0, Y: y + h}, {X: x1, Y: y + h}, {X: x1, Y: y + h*(1-end)}}, draw.Fill(draw.Grey))
}

// dropped marks the notes that got no voice, below the lanes.
func (f *lanes) dropped() {
	y := f.bottom - f.lane
	n := 0
	for i := range f.r.Losses {
		l := &f.r.Losses[i]
		if !l.Flagged() && l.Voice == nil && l.AtS >= f.w.From && l.AtS < f.w.To {
			lossMark(f.p, l.Ending, f.x(l.AtS), y, f.lane)
			n++
		}
	}
	if n > 0 && f.lane > small*0.9 {
		f.p.Text(f.left-3, y+f.lane/2+0.9, "dropped", draw.Type{Size: small, Ink: draw.Accent, Align: draw.End})
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

// legend explains what occurs, below the picture.
func (f *lanes) legend() {
	x, y := f.left, f.bottom+axisHeight
	t := draw.Type{Size: small}
	item := func(wide float64, text string, draws func(x, y float64)) {
		if x+wide+2+draw.Width(text, t) > f.left+f.width {
			x, y = f.left, y+4.6
		}
		draws(x, y)
		f.p.Text(x+wide+1.5, y+2.9, text, t)
		x += wide + 6 + draw.Width(text, t)
	}
	item(6, "key down", func(x, y float64) { f.p.Rect(x, y+0.6, 6, 2.6, draw.Fill(draw.Black)) })
	item(6, "sustained", func(x, y float64) {
		f.p.Rect(x, y+0.6, 6, 2.6, draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.25})
	})
	item(6, "release tail", func(x, y float64) {
		f.p.Path([]draw.Point{{X: x, Y: y + 0.8}, {X: x, Y: y + 3.2}, {X: x + 6, Y: y + 3.2}}, draw.Fill(draw.Grey))
	})
	counts, words := map[string]int{}, map[string]string{}
	for i := range f.r.Losses {
		l := &f.r.Losses[i]
		if !l.Flagged() && l.AtS >= f.w.From && l.AtS < f.w.To {
			counts[l.Ending]++
			words[l.Ending] = say.EndingLabel(l.Ending)
		}
	}
	endings := make([]string, 0, len(counts))
	for e := range counts {
		endings = append(endings, e)
	}
	sort.Strings(endings)
	for _, e := range endings {
		item(3, fmt.Sprintf("%s (%d)", words[e], counts[e]), func(x, y float64) { lossMark(f.p, e, x+1.5, y, 3.8) })
	}
}
