package figures

import (
	"cmp"
	"fmt"
	"slices"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
)

// label is what stands beside the mark of a plain loss.
type label struct {
	mark  *mark
	x     float64
	text  string
	whole bool // it says the part, the key, who took the voice, and how much is heard
}

// labelHigh is how high a label stands over the notes at least, in mm.
const labelHigh = 2.85

var labelType = draw.Type{Size: small, Bold: true, Ink: draw.Accent}

// labels say what is lost plainly and to whom, in as many words as fit before the next plain loss
// on the same lane; what is lost faintly gives way, see over. Of those at one instant, which share their place, the worst says it and
// counts the others, which have no words.
func (f *lanes) labels(heard []mark) (all []label) {
	for i := range heard {
		m := &heard[i]
		if m.weight != contract.Plainly {
			continue
		}
		l := label{mark: m, x: max(m.x, f.left) + 1.9}
		room := min(f.left+f.width, next(heard, i, contract.Plainly)-1.9) - l.x
		worst, others := atOnce(heard, i)
		for k, text := range say.LossLabel(m.loss, len(f.l.Parts) == 1) {
			if others > 0 {
				text += fmt.Sprintf(" +%d", others)
			}
			if worst && draw.Width(text, labelType) <= room {
				l.text, l.whole = text, k == 0
				f.counted = f.counted || others > 0
				break
			}
		}
		all = append(all, l)
	}
	return all
}

// atOnce tells whether a plain mark is the worst of those in its place, of equals the first,
// and how many others there are.
func atOnce(heard []mark, i int) (worst bool, others int) {
	m := &heard[i]
	worst = true
	for _, by := range []int{-1, 1} {
		for j := i + by; j >= 0 && j < len(heard) && heard[j].voice == m.voice && heard[j].x == m.x; j += by {
			o := &heard[j]
			others++
			worst = worst && (o.weight != contract.Plainly || *o.loss.HeardDB < *m.loss.HeardDB || *o.loss.HeardDB == *m.loss.HeardDB && by > 0)
		}
	}
	return worst, others
}

// over tells whether a label lies over a mark that is faint: that stands below it, on the notes.
func (l *label) over(m *mark) bool {
	return l.text != "" && m.weight == contract.Faint && m.voice == l.mark.voice && m.x > l.mark.x && m.x-markSize < l.x+draw.Width(l.text, labelType)
}

// label writes labels, on white.
func (f *lanes) label(labels []label) {
	for _, l := range labels {
		if l.text != "" {
			y := l.mark.y - 0.9 - f.lift
			f.p.Rect(l.x-0.2, y+0.5-small*0.95, draw.Width(l.text, labelType)+0.4, small*0.95, draw.Fill(draw.Paper))
			f.p.Text(l.x, y, l.text, labelType)
		}
	}
}

// listed are the plain losses that stand in a list below the picture, as the lanes have no
// room for all that is to say of them: the worst first, in columns.
type listed struct {
	head    string
	items   []string
	columns int
}

// Measures of the list, in mm.
const (
	listRow  = 3.7
	listGap  = 5.0 // between columns
	listRows = 4   // at most, where lanes are lower for it
)

var listType = draw.Type{Size: small}

// high is the height of the list.
func (s *listed) high() float64 {
	if len(s.items) == 0 {
		return 0
	}
	return listRow*float64(1+(len(s.items)+s.columns-1)/s.columns) + 1
}

// makeList lists the losses, as far as that leaves the lanes the room for names that they have.
func (f *lanes) makeList(height float64) {
	named := f.height(height) >= twoStoreys
	var left []label
	for _, l := range f.labels(heardOf(f.marks())) {
		if !l.whole || !named {
			left = append(left, l)
		}
	}
	slices.SortStableFunc(left, func(a, b label) int { return cmp.Compare(*b.mark.loss.HeardDB, *a.mark.loss.HeardDB) })
	var items []string
	widest := 1.0
	for _, l := range left {
		lane := "dropped"
		if l.mark.voice > 0 {
			lane = f.l.Voices[l.mark.voice-1].Name
		}
		text := say.LossOnLane(l.mark.loss, lane, len(f.l.Parts) == 1)
		items, widest = append(items, text), max(widest, draw.Width(text, listType))
	}
	rows := listRows
	beside := func(lane float64) int { return int((f.room(height)-1-lane*f.rows())/listRow) - 1 }
	if named {
		rows = max(min(rows, beside(twoStoreys)), beside(tallest))
	}
	f.below.columns = max(1, int((f.width+listGap)/(widest+listGap)))
	f.below.items = items[:min(len(items), max(0, rows)*f.below.columns)]
	f.below.head = say.LossList(len(f.below.items), len(items))
}

// list writes the list below the legend, which ends at a height.
func (f *lanes) list(end float64) {
	s := &f.below
	if len(s.items) == 0 {
		return
	}
	y := end + 2 + small
	f.p.Text(f.left, y, draw.Fit(s.head, f.width, listType), draw.Type{Size: small, Bold: true})
	for i, text := range s.items {
		x := f.left + float64(i%s.columns)*(f.width+listGap)/float64(s.columns)
		f.p.Text(x, y+listRow*float64(1+i/s.columns), draw.Fit(text, f.width, listType), listType)
	}
}
