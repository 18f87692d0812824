package figures

import (
	"cmp"
	"slices"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
)

// Marks on one lane that have no room side by side are drawn once, where the first is, with how many
// more there are: no mark covers a part of another.

// plainWide and faintWide are how far marks are apart at least, in mm.
const plainWide, faintWide = 2*markSize + 0.7, 2*markSize + 0.2

// tally counts the losses in the place of a mark beside it.
func tally(more int) string { return "+" + strconv.Itoa(more) }

// byLane are the marks that are chosen, lane by lane, from left to right.
func byLane(heard []mark, chosen func(*mark) bool) (lanes [][]*mark) {
	for i := range heard {
		m := &heard[i]
		if !chosen(m) {
			continue
		}
		if n := len(lanes); n == 0 || lanes[n-1][0].voice != m.voice {
			lanes = append(lanes, nil)
		}
		lanes[len(lanes)-1] = append(lanes[len(lanes)-1], m)
	}
	return lanes
}

// apart groups the marks of a lane so that the first of each is so far from the next group's, and has the room
// before that which it needs; the last group has it before an edge.
func apart(lane []*mark, wide, edge float64, fits func(group []*mark, end float64) bool) (groups [][]*mark) {
	for start, end := 0, 0; start < len(lane); start = end {
		for end = start + 1; end < len(lane) && (lane[end].x-lane[start].x < wide || !fits(lane[start:end], lane[end].x-wide/2)); {
			end++
		}
		groups = append(groups, lane[start:end])
	}
	for n := len(groups) - 1; n > 0 && !fits(groups[n], edge); n-- {
		groups = append(groups[:n-1], lane[len(lane)-len(groups[n])-len(groups[n-1]):])
	}
	return groups
}

// faintAt are the faint marks at the instant of a mark on its lane.
func faintAt(heard []mark, m *mark) (list []*mark) {
	for i := range heard {
		if o := &heard[i]; o.weight == contract.Faint && o.voice == m.voice && o.x == m.x {
			list = append(list, o)
		}
	}
	return list
}

// countFaint counts the faint marks at the instants of marks of one lane, which are in order.
func countFaint(heard []mark, group []*mark) (n int) {
	for i, m := range group {
		if i == 0 || group[i-1].x != m.x {
			n += len(faintAt(heard, m))
		}
	}
	return n
}

// faintGroup are faint marks in one place: above the notes, or below a label on them.
type faintGroup struct {
	marks []*mark
	below bool
}

// faint groups the faint marks that no label counts.
func (f *lanes) faint(heard []mark, labels []label) (all []faintGroup) {
	counted := map[*mark]bool{}
	for i := range labels {
		for _, m := range faintAt(heard, labels[i].mark) {
			counted[m] = true
		}
	}
	below := map[*mark]bool{}
	for i := range heard {
		below[&heard[i]] = slices.ContainsFunc(labels, func(l label) bool { return l.over(&heard[i]) })
	}
	free := func(m *mark) bool { return m.weight == contract.Faint && !counted[m] }
	for _, lane := range byLane(heard, func(m *mark) bool { return free(m) && !below[m] }) {
		for _, group := range apart(lane, faintWide, f.left+f.width+2, tallied) {
			if len(group) == 1 || tallied(group, nextLabel(labels, group[0])) {
				all = append(all, faintGroup{group, false})
				continue
			}
			for _, m := range group {
				below[m] = true
			}
		}
	}
	for _, lane := range byLane(heard, func(m *mark) bool { return free(m) && below[m] }) {
		for _, group := range apart(lane, faintWide, f.left+f.width+2, tallied) {
			all = append(all, faintGroup{group, true})
		}
	}
	return all
}

// tallied tells whether the tally of a group of faint marks has room before an end.
func tallied(group []*mark, end float64) bool {
	return len(group) == 1 || tallyX(group[0])+draw.Width(tally(len(group)-1), labelType) <= end
}

// tallyX is where the tally of a faint mark begins.
func tallyX(m *mark) float64 { return m.x + markSize + 0.1 }

// nextLabel is where the next plain mark begins on the lane of a mark, or far away.
func nextLabel(labels []label, m *mark) float64 {
	next := far
	for _, l := range labels {
		if l.drawn && l.mark.voice == m.voice && l.mark.x > m.x {
			next = min(next, l.mark.x-plainWide/2)
		}
	}
	return next
}

// faintly draws groups of faint marks, and returns the marks over which dashes may stand.
func (f *lanes) faintly(groups []faintGroup) (drawn []*mark) {
	for _, g := range groups {
		m := g.marks[0]
		y, base := m.y, m.y-0.9-f.lift
		if g.below {
			y += 2*(markSize+markGap) + f.lift
			base = m.y + markSize + markGap + 0.95
			f.lowered = true
		} else {
			drawn = append(drawn, m)
		}
		f.weighed(contract.Faint, slices.ContainsFunc(g.marks, func(m *mark) bool { return wholly(m.ending) }), m.x, y)
		if more := len(g.marks) - 1; more > 0 {
			f.plate(tallyX(m), base, tally(more))
			f.counted = true
		}
	}
	return drawn
}

// covered tells whether a tally on the notes of a voice, from 1, stands in a stretch.
func (f *lanes) covered(voice int, from, to float64) bool {
	return slices.ContainsFunc(f.heard.faint, func(g faintGroup) bool {
		m := g.marks[0]
		return g.below && len(g.marks) > 1 && m.voice == voice && m.x-markSize < to && tallyX(m)+draw.Width(tally(len(g.marks)-1), labelType) > from
	})
}

// inOrder sorts marks lane by lane.
func inOrder(marks []*mark) {
	slices.SortStableFunc(marks, func(a, b *mark) int { return cmp.Or(a.voice-b.voice, cmp.Compare(a.x, b.x)) })
}
