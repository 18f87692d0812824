package figures

import (
	"fmt"
	"math"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/profiles/unit"
)

// Type sizes, in mm of the em.
const (
	body  = 3.2
	small = 2.65 // 7.5 points
)

// area is a field of a picture that shows a range of values on either axis.
type area struct {
	p                        *draw.Picture
	left, top, width, height float64
	fromX, toX               float64
	fromY, toY               float64 // bottom and top
}

func (a *area) x(v float64) float64 { return a.left + (v-a.fromX)/(a.toX-a.fromX)*a.width }

func (a *area) y(v float64) float64 {
	return a.top + a.height - (v-a.fromY)/(a.toY-a.fromY)*a.height
}

// levels draws the values of the y axis, and a thin line at each.
func (a *area) levels(label string) {
	step := nice((a.toY-a.fromY)/4, 1)
	for v := a.fromY; v <= a.toY+1e-9; v += step {
		a.p.Line(a.left, a.y(v), a.left+a.width, a.y(v), draw.Stroke(draw.Light, 0.12))
		a.p.Text(a.left-1.5, a.y(v)+0.9, unit.Fixed(v, -1), draw.Type{Size: small, Align: draw.End})
	}
	a.p.Text(a.left-9.5, a.top+a.height/2, label, draw.Type{Size: small, Ink: draw.Dark, Turned: true, Align: draw.Middle})
}

// nice is the next of 1, 2, 5, 10, 20 … times a unit that is not below a value.
func nice(v, unit float64) float64 {
	for scale := unit; ; scale *= 10 {
		for _, k := range []float64{1, 2, 5} {
			if k*scale >= v {
				return k * scale
			}
		}
	}
}

// ceiling is a round number for the top of an axis.
func ceiling(v float64) float64 {
	step := nice(v/4, 1)
	return math.Max(step, math.Ceil(v/step)*step)
}

// clock names a time of the song: 1:05, or with a fraction where ticks are
// closer than a second.
func clock(s float64, fine bool) string {
	minutes := math.Floor(s / 60)
	if fine {
		return fmt.Sprintf("%.0f:%04.1f", minutes, s-60*minutes)
	}
	return fmt.Sprintf("%.0f:%02.0f", minutes, s-60*minutes)
}
