package figures

import (
	"fmt"
	"slices"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// keys explain looks below a picture, one after the other.
type keys struct {
	f    *lanes
	x, y float64
}

func (k *keys) item(wide float64, text string, draws func(x, y float64)) {
	t := draw.Type{Size: small}
	if k.x+wide+2+draw.Width(text, t) > k.f.left+k.f.width {
		k.x, k.y = k.f.left, k.y+4.6
	}
	draws(k.x, k.y)
	k.f.p.Text(k.x+wide+1.5, k.y+2.9, text, t)
	k.x += wide + 6 + draw.Width(text, t)
}

// legend explains what occurs, below the picture, and returns where it ends.
func (f *lanes) legend() float64 {
	k := &keys{f, f.left, f.bottom + axisHeight}
	k.parts()
	if slices.ContainsFunc(f.l.Spans, func(s contract.LaneSpan) bool { return s.LowS > s.UpS }) {
		k.item(6, "sustained", func(x, y float64) {
			f.p.Rect(x, y+0.6, 6, 2.6, draw.Style{Fill: draw.Paper, Stroke: draw.Black, Width: 0.25})
		})
	}
	k.item(6, "tail", func(x, y float64) {
		f.p.Path([]draw.Point{{X: x, Y: y + 0.8}, {X: x, Y: y + 3.2}, {X: x + 6, Y: y + 3.2}}, draw.Style{Fill: draw.Faint, Stroke: draw.Grey, Width: 0.15})
	})
	if f.r.Heard == nil {
		k.endings()
	} else {
		k.weights()
	}
	return k.y + 4
}

// parts are the fills of the parts that play in the window.
func (k *keys) parts() {
	plays := make([]bool, len(k.f.inks))
	k.f.each(func(s *contract.LaneSpan, y, h float64) { plays[s.Part%len(plays)] = true })
	for i, name := range k.f.l.Parts {
		if plays[i] {
			sign := k.f.inks[i].sign
			wide := max(6, draw.Width(sign, signType)+1.5)
			k.item(wide, name, func(x, y float64) {
				lane, storey := k.f.lane, k.f.storey
				k.f.storey = 1 // outlined, as where there is room
				k.f.key(x, x+wide, y+0.6, 2.6, k.f.inks[i])
				k.f.lane, k.f.storey = lane, storey
				k.sign(x+wide/2, y, sign)
			})
		}
	}
}

var signType = draw.Type{Size: small, Align: draw.Middle}

// sign writes the sign of a part on its hatch.
func (k *keys) sign(middle, y float64, sign string) {
	if sign == "" {
		return
	}
	width := draw.Width(sign, signType) + 0.5
	k.f.p.Rect(middle-width/2, y+0.75, width, 2.3, draw.Fill(draw.Paper))
	k.f.p.Text(middle, y+2.85, sign, signType)
}

// weights are the marks of losses by how much is heard, and how many there are of each.
func (k *keys) weights() {
	f := k.f
	counts, full := [contract.Unweighed]int{}, 0
	for i := range f.r.Losses {
		if l := &f.r.Losses[i]; !l.Flagged() && f.shows(l) {
			w := f.r.Weigh(l)
			counts[w]++
			if w == contract.Faint && wholly(l.Ending) {
				full++
			}
		}
	}
	lane, storey := f.lane, f.storey
	f.lane, f.storey = 3.4, 0
	for _, w := range []struct {
		weight contract.Weight
		word   string
	}{{contract.Plainly, "loss that you would hear plainly"}, {contract.Faint, "faintly"}, {contract.Unheard, "not heard"}} {
		if n := counts[w.weight]; n > 0 {
			text := fmt.Sprintf("%s (%d)", w.word, n)
			if w.weight == contract.Faint && f.lowered {
				text += ", on the notes where words are above"
			}
			k.item(3, text, func(x, y float64) { f.weighed(w.weight, false, x+1.5, y+0.3) })
		}
		if w.weight == contract.Faint && full > 0 {
			k.item(3, fmt.Sprintf("stolen at once or dropped (%d of them)", full), func(x, y float64) { f.weighed(w.weight, true, x+1.5, y+0.3) })
		}
	}
	if wrong := f.countWrong(); wrong > 0 {
		heard := ""
		if f.r.Heard != nil && wrong < f.r.WrongPitches() {
			heard = " that you hear"
		}
		k.item(3, fmt.Sprintf("wrong pitch%s (%d)", heard, wrong)+f.sounding(storey), func(x, y float64) { f.p.Rect(x, y+0.6, 3, 2.6, wrongPitch) })
	}
	f.lane, f.storey = lane, storey
	if f.counted {
		k.item(4, "so many more losses there", func(x, y float64) { f.p.Text(x, y+2.9, "+1", labelType) })
	}
	if storey > 0 {
		k.missing()
	}
}

// sounding explains the arrow to the key that sounds, where there is one.
func (f *lanes) sounding(storey float64) (text string) {
	if storey == 0 {
		return ""
	}
	f.each(func(s *contract.LaneSpan, y, h float64) {
		if s.SoundsName != "" && s.KeyName != "" {
			text = ", → what sounds"
		}
	})
	return text
}

// missing explains the dashes of what is missing, each where there is some.
func (k *keys) missing() {
	notes, tails := false, false
	for _, m := range heardOf(k.f.marks()) {
		notes, tails = notes || !m.tail && m.to > m.x, tails || m.tail
	}
	if notes {
		k.item(7, "note missing", func(x, y float64) { k.f.p.Line(x, y+2, x+7, y+2, noteMissing) })
	}
	if tails {
		k.item(7, "tail missing", func(x, y float64) { k.f.p.Line(x, y+0.9, x+7, y+3, tailMissing) })
	}
}

// countWrong counts the notes at the wrong pitch that are heard in the window.
func (f *lanes) countWrong() (n int) {
	for i := range f.r.Losses {
		if l := &f.r.Losses[i]; l.WrongPitch() && l.Voice != nil && f.shows(l) {
			n++
		}
	}
	return n
}

// endings are the marks of losses where nobody listened, and how many there are of each.
func (k *keys) endings() {
	f := k.f
	counts := map[string]int{}
	var names []string
	for i := range f.r.Losses {
		l := &f.r.Losses[i]
		if l.Flagged() || !f.shows(l) {
			continue
		}
		if counts[l.Ending]++; counts[l.Ending] == 1 {
			names = append(names, l.Ending)
		}
	}
	slices.Sort(names)
	for _, e := range names {
		k.item(3, fmt.Sprintf("%s (%d)", say.EndingLabel(e), counts[e]), func(x, y float64) { lossMark(f.p, e, x+1.5, y, 3.8) })
	}
}
