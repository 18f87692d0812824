package figures

import (
	"math"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
)

// Measures of a picture of a take, in mm.
const (
	callWidth  = 8.0  // of a field for a roll call
	saidWidth  = 46.0 // of the words behind a lane
	takeHead   = 16.0
	takeFoot   = 22.0
	takeLane   = 9.0 // height of a lane
	besideLane = 1.5
)

// TakeHeight is the height in mm that suits a picture of a take.
func TakeHeight(t *contract.Took) float64 {
	return takeHead + takeFoot + takeLane*float64(len(t.Voices))
}

// Take draws what was asked of each voice in a take, and at which keys it was heard: a
// lane a voice, the first roll call, what it plays alone, and the second roll call. The
// size is in mm.
func Take(t *contract.Took, width, height float64) *draw.Picture {
	p := draw.New(width, height)
	p.Title = say.TakePicture(t)
	head := draw.Type{Size: 3.9, Bold: true}
	p.Text(2, 4.2, draw.Fit(p.Title, width-4, head), head)
	f := takeFigure{Took: t, p: p, lane: math.Min(takeLane, (height-takeHead-takeFoot)/float64(max(1, len(t.Voices)))), low: 127, high: 0}
	f.measure()
	f.main = width - nameWidth - 2*(callWidth+besideLane) - saidWidth - 2
	f.heads()
	for i := range t.Voices {
		f.voice(i)
	}
	f.legend(height)
	return p
}

// takeFigure is a picture of a take that is being drawn.
type takeFigure struct {
	*contract.Took
	p         *draw.Picture
	lane      float64 // height
	main      float64 // width of the field for what a voice plays alone
	longest   float64 // seconds of that
	low, high float64 // keys
}

// measure finds the longest of what voices play alone, and the lowest and the highest key.
func (f *takeFigure) measure() {
	for i := range f.Voices {
		for _, n := range f.Voices[i].Notes {
			if n.Kind != "roll call" && n.Kind != "again" {
				f.longest = math.Max(f.longest, n.AtS+n.Seconds-f.Voices[i].FromS)
			}
			f.low, f.high = math.Min(f.low, float64(n.Key)), math.Max(f.high, float64(n.Key))
			if n.HeardKey != nil {
				f.low, f.high = math.Min(f.low, *n.HeardKey), math.Max(f.high, *n.HeardKey)
			}
		}
	}
	f.longest, f.high = math.Max(f.longest, 0.1), math.Max(f.high, f.low+1)
}

// heads names the fields.
func (f *takeFigure) heads() {
	t := draw.Type{Size: small, Ink: draw.Dark}
	f.p.Text(nameWidth, takeHead-2.5, "call", t)
	f.p.Text(nameWidth+callWidth+besideLane, takeHead-2.5, "alone, "+unit.Tenths(f.longest)+" s", t)
	f.p.Text(nameWidth+callWidth+2*besideLane+f.main, takeHead-2.5, "again", t)
}

// voice draws a lane.
func (f *takeFigure) voice(i int) {
	v := &f.Voices[i]
	top := takeHead + float64(i)*f.lane
	fine := v.State == "ok"
	ink := draw.Black
	if !fine {
		ink = draw.Accent
		f.p.Rect(0, top, f.p.Width, f.lane, draw.Fill(draw.Blush))
	} else if i%2 == 0 {
		f.p.Rect(0, top, f.p.Width, f.lane, draw.Fill(draw.Faint))
	}
	size := math.Min(body, f.lane*0.8)
	f.p.Text(nameWidth-2, top+f.lane/2+size/3, v.Name, draw.Type{Size: size, Align: draw.End, Bold: !fine})
	behind := draw.Type{Size: math.Min(small, f.lane*0.8), Ink: ink}
	f.p.Text(f.p.Width-saidWidth, top+f.lane/2+size/3, draw.Fit(say.TakeLane(v), saidWidth-2, behind), behind)
	for j := range v.Notes {
		f.note(v, &v.Notes[j], top)
	}
}

// note draws what was asked as an outline, and what was heard as a bar at its key.
func (f *takeFigure) note(v *contract.TookVoice, n *contract.TookNote, top float64) {
	scale := f.main / f.longest
	left, wide := nameWidth+callWidth+besideLane+(n.AtS-v.FromS)*scale, n.Seconds*scale
	switch n.Kind {
	case "roll call":
		left, wide = nameWidth+1, callWidth-2
	case "again":
		left, wide = nameWidth+callWidth+2*besideLane+f.main+1, callWidth-2
	}
	const thick = 0.9
	y := func(key float64) float64 {
		return top + 0.6 + (f.lane-1.2-thick)*(1-(key-f.low)/(f.high-f.low))
	}
	wide = math.Max(wide, 0.5)
	asked := y(float64(n.Key) + n.Bend)
	if n.HeardKey != nil {
		ink := draw.Black
		at := y(*n.HeardKey)
		if math.Abs(*n.HeardKey-float64(n.Key)-n.Bend) > 0.5 {
			ink = draw.Accent
			f.p.Line(left, asked+thick/2, left, at+thick/2, draw.Stroke(draw.Accent, 0.2))
		}
		f.p.Rect(left, at, wide, thick, draw.Fill(ink))
	}
	f.p.Rect(left, asked, wide, thick, draw.Stroke(draw.Dark, 0.18))
}

// legend says what is what.
func (f *takeFigure) legend(height float64) {
	y := height - takeFoot + 8
	for _, l := range []struct {
		words string
		style draw.Style
	}{
		{"asked: higher keys stand higher; an empty one was not heard", draw.Stroke(draw.Dark, 0.18)},
		{"heard where it was asked", draw.Fill(draw.Black)},
		{"heard at another key", draw.Fill(draw.Accent)},
	} {
		f.p.Rect(nameWidth, y-1.2, 8, 0.9, l.style)
		f.p.Text(nameWidth+11, y, l.words, draw.Type{Size: small})
		y += 4.2
	}
}
