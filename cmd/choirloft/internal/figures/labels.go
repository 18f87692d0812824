package figures

import (
	"cmp"
	"slices"
	"strings"

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
	drawn bool // its mark is: it stands for all of its group
	more  int  // how many others it counts
}

// labelHigh is how high a label stands over the notes at least, in mm.
const labelHigh = 2.85

var labelType = draw.Type{Size: small, Bold: true, Ink: draw.Accent}

// labels say what is lost plainly and to whom, in as many words as fit before the next plain loss
// on the same lane; what is lost faintly gives way, see over. Of those in one place the first says it,
// of one instant the worst, and counts the others, which have no words.
func (f *lanes) labels(heard []mark) (all []label) {
	for _, lane := range byLane(heard, func(m *mark) bool { return m.weight == contract.Plainly }) {
		more := func(group []*mark) int { return len(group) - 1 + countFaint(heard, group) }
		groups := apart(lane, plainWide, f.left+f.width, func(group []*mark, end float64) bool {
			return more(group) == 0 || f.labelX(group[0])+draw.Width(tally(more(group)), labelType) <= end
		})
		for i, group := range groups {
			end := f.left + f.width
			if i+1 < len(groups) {
				end = groups[i+1][0].x - plainWide/2
			}
			all = append(all, f.groupLabels(group, more(group), end)...)
		}
	}
	return all
}

// labelX is where the label of a mark begins.
func (f *lanes) labelX(m *mark) float64 { return max(m.x, f.left) + 1.9 }

// groupLabels are the labels of marks in one place, with so many more, before an end: of the worst of the first instant, and of
// the others without words.
func (f *lanes) groupLabels(group []*mark, more int, end float64) (all []label) {
	at := 0
	for i, m := range group {
		if m.x == group[0].x && *m.loss.HeardDB > *group[at].loss.HeardDB {
			at = i
		}
	}
	for i, m := range group {
		l := label{mark: m, x: f.labelX(m), drawn: i == at}
		if l.drawn {
			l.more = more
			l.text, l.whole = f.words(m, more, end-l.x)
		}
		all = append(all, l)
	}
	return all
}

// words are the longest label of a loss, and of so many more, for which there is room.
func (f *lanes) words(m *mark, more int, room float64) (text string, whole bool) {
	for i, text := range append(say.LossLabel(m.loss, len(f.l.Parts) == 1), "") {
		if more > 0 {
			text = strings.TrimSpace(text + " " + tally(more))
		}
		if draw.Width(text, labelType) <= room {
			return text, i == 0
		}
	}
	return "", false
}

// over tells whether a label or its mark lies over a mark that is faint: that stands below it, on the notes.
func (l *label) over(m *mark) bool {
	if !l.drawn || m.weight != contract.Faint || m.voice != l.mark.voice {
		return false
	}
	end := l.mark.x + plainWide/2
	if l.text != "" {
		end = max(end, l.x+draw.Width(l.text, labelType))
	}
	return m.x+markSize > l.mark.x-plainWide/2 && m.x-markSize < end
}

// label draws the plain marks with their labels, and returns the marks.
func (f *lanes) label(labels []label) (drawn []*mark) {
	for _, l := range labels {
		if !l.drawn {
			continue
		}
		drawn = append(drawn, l.mark)
		f.weighed(contract.Plainly, wholly(l.mark.ending), l.mark.x, l.mark.y)
		if l.text != "" {
			f.plate(l.x, l.mark.y-0.9-f.lift, l.text)
			f.counted = f.counted || l.more > 0
		}
	}
	return drawn
}

// plate writes on white what stands beside a mark.
func (f *lanes) plate(x, base float64, text string) {
	f.p.Rect(x-0.2, base+0.5-small*0.95, draw.Width(text, labelType)+0.4, small*0.95, draw.Fill(draw.Paper))
	f.p.Text(x, base, text, labelType)
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
		text := say.LossOnLane(l.mark.loss, f.l, l.mark.voice)
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
