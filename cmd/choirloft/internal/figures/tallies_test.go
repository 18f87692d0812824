package figures

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/routing/plan"
)

// Marks 3 mm apart stand side by side where 2 mm are asked for; nearer ones are one group, and so is one that would
// stand in the room that the first needs, 5 mm if it counts others; at the edge a group goes to the one before.
func TestApart(t *testing.T) {
	fits := func(group []*mark, end float64) bool { return len(group) == 1 || group[0].x+5 <= end }
	for _, c := range []struct {
		at   []float64
		want []int
	}{
		{nil, nil},
		{[]float64{0, 3, 6}, []int{1, 1, 1}},
		{[]float64{0, 1.9, 10}, []int{2, 1}},
		{[]float64{0, 1.9, 5.9, 10}, []int{3, 1}}, // 5.9 − 2/2 is less than 5
		{[]float64{0, 1.9, 6, 10}, []int{2, 1, 1}},
		{[]float64{0, 3, 46, 47}, []int{1, 1, 2}}, // until 51, before the edge at 51
		{[]float64{0, 3, 46.5, 47}, []int{1, 3}},
		{[]float64{47, 48}, []int{2}},
	} {
		var lane []*mark
		for _, x := range c.at {
			lane = append(lane, &mark{x: x})
		}
		var got []int
		for _, group := range apart(lane, 2, 51, fits) {
			got = append(got, len(group))
		}
		require.Equal(t, c.want, got, "%v", c.at)
	}
}

// However many voices the demo has, no mark is drawn over another, and marks with what they count are all losses.
func TestNoMarkCoversAnother(t *testing.T) {
	for voices := 5; voices <= 12; voices++ {
		l, r := demo(t, plan.Overrides{Voices: plan.All(voices)})
		f := newLanes(l, r, l.All(), draw.New(273, 170))
		f.grid(170)
		require.Positive(t, f.storey)
		heard := heardOf(f.marks())
		labels := f.labels(heard)
		groups := f.faint(heard, labels)
		type place struct {
			voice int
			below bool
		}
		rows, marks := map[place][]float64{}, 0
		for i := range labels {
			if m := labels[i].mark; labels[i].drawn {
				rows[place{m.voice, false}] = append(rows[place{m.voice, false}], m.x)
				marks += 1 + labels[i].more
			}
		}
		for _, g := range groups {
			at := place{g.marks[0].voice, g.below}
			rows[at] = append(rows[at], g.marks[0].x)
			marks += len(g.marks)
		}
		for at, row := range rows {
			for i, x := range row {
				for _, other := range row[:i] {
					require.Greater(t, max(x-other, other-x), 2*markSize, "%d voices, %+v", voices, at)
				}
			}
		}
		require.Equal(t, *r.Heard.Faint, marks, "%d voices", voices) // all that are heard
	}
}

// A tally counts what has no room: three faint losses within 2 mm are a triangle and +2, on the lane and in the legend.
func TestFaintTally(t *testing.T) {
	l, r := heardOne()
	for i := range 2 { // beside the note that was dropped at 2.5 s, 1.27 mm further each
		x := r.Losses[0]
		x.AtS += 0.02 * float64(i+1)
		r.Heard.Order = append(r.Heard.Order, len(r.Losses))
		r.Losses = append(r.Losses, x)
	}
	text := svg(Lanes(l, r, l.All(), 273, 100))
	require.Contains(t, text, ">+2<")
	require.Contains(t, text, ">so many more losses there<")
	require.Equal(t, contract.Faint, r.Weigh(&r.Losses[2]))
}
