package figures

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// Measures of a picture of lanes, in mm.
const (
	nameWidth  = 17.0
	heading    = 7.0  // height of the sentence above
	curve      = 27.0 // of the demand curve
	axisHeight = 9.0
	legend     = 12.0
	bankGap    = 1.2
	tallest    = 11.0 // of a lane
	twoStoreys = 5.6  // of a lane that has losses above its notes
)

// Tallest is the height in mm, up to a most, above which a picture of lanes of a width only
// gains white.
func Tallest(l *contract.Lanes, r *contract.Result, w contract.Window, width, most float64) float64 {
	f := newLanes(l, r, w, draw.New(width, most))
	return min(most, f.above()+tallest*float64(len(f.shown)+1)+f.gaps()+axisHeight+legend+f.below.high())
}

// Lanes draws a window of a song: what is missing in a sentence, the demand curve, a lane
// for each voice in service, the bars and a legend, on a picture of a size in mm.
func Lanes(l *contract.Lanes, r *contract.Result, w contract.Window, width, height float64) *draw.Picture {
	p := draw.New(width, height)
	f := newLanes(l, r, w, p)
	f.inks = inksOf(l)
	first, last := f.barsShown()
	shows := f.shows
	if w == l.All() {
		shows = nil
	}
	p.Title = say.Picture(r, l, shows, r.Heard != nil && r.Heard.Course.Within(w), first, last)
	sentence(p, p.Title)
	f.demand(heading)
	f.grid(height)
	f.tooFew()
	f.weighAll()
	f.notes()
	f.lost()
	f.axis()
	f.list(f.legend())
	return p
}

type lanes struct {
	area
	l       *contract.Lanes
	r       *contract.Result
	w       contract.Window
	inks    []look    // of the parts
	shown   []int     // voices that have a lane: those in service
	quiet   []string  // those in service that have none
	loss    string    // what these lose
	counted bool      // a label counts others in its place
	lowered bool      // a faint mark stands on notes
	drops   int       // notes that got no voice: below is a lane for them
	tops    []float64 // of the lanes, by voice; noLane where it has none
	lane    float64   // height of one
	storey  float64   // of its upper part, where losses stand; 0 where lanes are thin
	lift    float64   // of marks and labels over the notes, which leaves room for dashes that fall
	bottom  float64   // of all
	below   listed
	wanted  area   // of the demand curve
	heard   placed // set once the lanes are laid out
}

// noLane is the top of what is not drawn.
const noLane = -1.0

func newLanes(l *contract.Lanes, r *contract.Result, w contract.Window, p *draw.Picture) *lanes {
	f := &lanes{area: area{p: p, left: nameWidth, width: p.Width - nameWidth - 2, fromX: w.From, toX: w.To}, l: l, r: r, w: w, tops: slices.Repeat([]float64{noLane}, len(l.Voices))}
	for i, v := range l.Voices {
		if v.State == "in" || v.State == "limited" {
			f.shown = append(f.shown, i)
		}
	}
	for i := range r.Losses {
		if x := &r.Losses[i]; f.shows(x) && x.Voice == nil && !x.Flagged() {
			f.drops++
		}
	}
	if r.Heard != nil {
		f.focus(p.Height)
		f.makeList(p.Height)
	}
	return f
}

// focus leaves out lanes on which nothing is heard to be lost, and then those on which
// nothing is plainly, where else no lane has room for the names of notes.
func (f *lanes) focus(height float64) {
	all := f.shown
	for least := contract.Faint; least <= contract.Plainly && f.height(height) < twoStoreys; least++ {
		var kept []int
		for _, voice := range all {
			if f.loses(voice, least) {
				kept = append(kept, voice)
			}
		}
		if len(kept) == 0 {
			break
		}
		f.shown, f.loss = kept, [...]string{contract.Faint: "lose nothing here that you hear", contract.Plainly: "lose nothing plainly here"}[least]
	}
	if f.height(height) < twoStoreys { // still no room for names
		f.shown = all
	}
	for _, voice := range all {
		if !slices.Contains(f.shown, voice) {
			f.quiet = append(f.quiet, f.l.Voices[voice].Name)
		}
	}
}

// loses tells whether a voice loses something in the window that is heard at least so much.
func (f *lanes) loses(voice int, least contract.Weight) bool {
	return slices.ContainsFunc(f.r.Losses, func(l contract.Loss) bool {
		return l.Voice != nil && *l.Voice == voice+1 && !l.WrongPitch() && f.shows(&l) && f.r.Weigh(&l) >= least
	})
}

// height is that of a lane in a picture of a height.
func (f *lanes) height(picture float64) float64 {
	return max(0.8, min(tallest, f.room(picture)/f.rows()))
}

// room is the height that all lanes share, and rows how many there are, with that of dropped notes.
func (f *lanes) room(picture float64) float64 {
	return picture - f.above() - axisHeight - legend - f.gaps() - f.below.high()
}

func (f *lanes) rows() float64 { return float64(max(1, len(f.shown)+min(f.drops, 1))) }

// above is the height of what stands over the lanes.
func (f *lanes) above() float64 { return heading + curve + 6 }

// gaps is the height of what sets banks apart.
func (f *lanes) gaps() (sum float64) {
	for i := range f.shown {
		if i > 0 && f.begins(i) {
			sum += bankGap
		}
	}
	return sum
}

// begins tells whether a lane is the first of its bank.
func (f *lanes) begins(i int) bool {
	return i == 0 || f.l.Voices[f.shown[i]].Bank != f.l.Voices[f.shown[i-1]].Bank
}

// inside tells whether a picture shows what happens at a time: its end is of the next.
func (f *lanes) inside(at float64) bool {
	return at >= f.w.From && (at < f.w.To || f.w.To >= f.l.Seconds)
}

func (f *lanes) shows(l *contract.Loss) bool { return f.inside(l.AtS) }

// barsShown are the first and the last bar of a window that does not show all; 0 else.
func (f *lanes) barsShown() (first, last int) {
	if f.w == f.l.All() || !f.l.HasBars {
		return 0, 0
	}
	for _, b := range f.l.Bars {
		if b.AtS <= f.w.From {
			first = b.Bar
		}
		if b.AtS < f.w.To {
			last = b.Bar
		}
	}
	return first, last
}

// grid lays the lanes out, banks apart, and draws their names and the bars.
func (f *lanes) grid(height float64) {
	top := f.above()
	f.lane = f.height(height)
	if f.lane >= twoStoreys {
		f.storey = f.lane * 0.45
		f.lift = max(0, min(1.3, f.storey-labelHigh))
	}
	y := top
	for i, voice := range f.shown {
		if i > 0 && f.begins(i) {
			y += bankGap
		}
		f.tops[voice] = y
		f.name(i, y)
		y += f.lane
	}
	f.bottom = y + f.lane*float64(min(f.drops, 1))
	f.bars(heading+5, heading+curve-1)
	f.bars(top, f.bottom)
	for i, voice := range f.shown {
		y := f.tops[voice]
		if f.begins(i) {
			f.p.Line(f.left, y, f.left+f.width, y, draw.Stroke(draw.Grey, 0.2))
		}
		f.p.Line(f.left, y+f.lane, f.left+f.width, y+f.lane, draw.Stroke(draw.Light, 0.12))
	}
	f.absent()
}

// name writes the name of a voice before its lane; where lanes are thin, only
// that of the first of its bank.
func (f *lanes) name(i int, y float64) {
	t := draw.Type{Size: min(body, max(small, f.lane*0.7)), Align: draw.End, Bold: f.storey > 0}
	if f.lane < t.Size*0.95 {
		if !f.begins(i) {
			return
		}
		y += (t.Size*1.1 - f.lane) / 2
	}
	y += f.storey / 2 // beside the notes
	f.p.Text(f.left-1.5, y+f.lane/2+t.Size*0.36, draw.FitName(f.l.Voices[f.shown[i]].Name, nameWidth-2, t), t)
}

// absent says above the lanes which voices have none.
func (f *lanes) absent() {
	var names []string
	for _, v := range f.l.Voices {
		if v.State != "in" && v.State != "limited" {
			names = append(names, v.Name)
		}
	}
	var lines []string
	for _, x := range []struct {
		names []string
		what  string
	}{{f.quiet, f.loss}, {names, "not in service"}} {
		if n := len(x.names); n > 1 {
			lines = append(lines, fmt.Sprintf("%d voices %s: %s … %s", n, x.what, x.names[0], x.names[n-1]))
		} else if n == 1 {
			lines = append(lines, fmt.Sprintf("1 voice %s: %s", strings.Replace(x.what, "lose", "loses", 1), x.names[0]))
		}
	}
	text := strings.Join(lines, "; ")
	t := draw.Type{Size: small, Ink: draw.Dark, Align: draw.End}
	f.p.Text(f.left+f.width, f.above()-1.6, draw.Fit(text, f.width, t), t)
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
