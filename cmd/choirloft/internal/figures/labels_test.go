package figures

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/plan"
)

// told are the plain losses of which a picture says all, on the lanes or in the list below: the
// part, the key, who took the voice, and how much is heard.
func told(p *draw.Picture, l *contract.Lanes, r *contract.Result) (whole, plain []string) {
	var texts []string
	for _, x := range p.Texts() {
		texts = append(texts, x.Text)
	}
	for _, at := range r.Heard.Order {
		x := &r.Losses[at]
		if !x.Plain() || x.WrongPitch() {
			continue
		}
		voice := 0
		if x.Voice != nil {
			voice = *x.Voice
		}
		item := say.LossOnLane(x, l, voice)
		plain = append(plain, item)
		_, label, _ := strings.Cut(item, ": ")
		if slices.ContainsFunc(texts, func(s string) bool { return s == item || s == label || strings.HasPrefix(s, label+" +") }) {
			whole = append(whole, item)
		}
	}
	return whole, plain
}

// All plain losses of the demo are told whole, and of more than there is room for the worst.
func TestPlainLossesAreToldWhole(t *testing.T) {
	for voices, few := range map[int]bool{6: false, 8: false, 10: true, 12: true} {
		l, r := demo(t, plan.Overrides{Voices: plan.All(voices)})
		p := Lanes(l, r, l.All(), 273, 170)
		whole, plain := told(p, l, r)
		require.Contains(t, whole, plain[0], "the worst")
		if few {
			require.Equal(t, plain, whole, voices)
			continue
		}
		require.Regexp(t, `>Plain losses without room above, the worst \d+ of \d+:<`, svg(p))
		require.GreaterOrEqual(t, len(whole), listRows, voices)
	}
}

// What is lost faintly takes no room from what is lost plainly: a label is cut short only before the next
// plain loss of its lane, or before the end. The marks that it lies over stand on the notes, and all are drawn.
func TestFaintLossesGiveWay(t *testing.T) {
	over := 0
	for voices := 8; voices <= 12; voices++ {
		l, r := demo(t, plan.Overrides{Voices: plan.All(voices)})
		p := draw.New(273, 170)
		f := newLanes(l, r, l.All(), p)
		f.grid(170)
		require.Positive(t, f.storey)
		heard := heardOf(f.marks())
		plain := slices.DeleteFunc(slices.Clone(heard), func(m mark) bool { return m.weight != contract.Plainly })
		with, without := f.labels(heard), f.labels(plain)
		require.Len(t, with, len(without))
		for i := range with {
			if with[i].more == without[i].more { // faint ones of the same instant are counted too
				require.Equal(t, with[i].text, without[i].text)
			}
		}
		faint := 0
		for _, group := range f.faint(heard, with) {
			if !slices.ContainsFunc(group.marks, func(m *mark) bool { return wholly(m.ending) }) {
				faint++ // the others are full
			}
			if group.below {
				over++
			}
		}
		p = Lanes(l, r, l.All(), 273, 170)
		triangles := trianglesIn(svg(p))
		require.Len(t, triangles, faint+1, "one in the legend")
		for _, at := range triangles {
			for _, x := range p.Texts() {
				if at.Y < f.bottom && x.Left < at.X && at.X < x.Right && x.Top < at.Y && at.Y < x.Bottom {
					require.NotContains(t, x.Text, " dB", "a label on a mark")
				}
			}
		}
	}
	require.Greater(t, over, 10)
}

// trianglesIn are the middles of the upper sides of triangles that hang, white with an outline of 0.3 mm.
func trianglesIn(svg string) (all []draw.Point) {
	for _, path := range regexp.MustCompile(`<path fill="#ffffff" stroke="#[0-9a-f]{6}" stroke-width="0.3" d="([^"]*)"`).FindAllStringSubmatch(svg, -1) {
		for _, sub := range strings.Split(path[1], "M")[1:] {
			var x [6]float64
			if n, _ := fmt.Sscanf(strings.NewReplacer("L", " ", "z", " ").Replace(sub), "%g %g %g %g %g %g", &x[0], &x[1], &x[2], &x[3], &x[4], &x[5]); n == 6 && x[1] == x[3] && x[5] > x[1] {
				all = append(all, draw.Point{X: (x[0] + x[2]) / 2, Y: x[1]})
			}
		}
	}
	return all
}

// The list takes no lane its names: with it they are as high as they must be for that.
func TestListLeavesLanesTheirNames(t *testing.T) {
	for voices := 6; voices <= 16; voices++ {
		l, r := demo(t, plan.Overrides{Voices: plan.All(voices)})
		for height := 120.0; height <= 200; height += 10 {
			f := newLanes(l, r, l.All(), draw.New(273, height))
			with := f.height(height)
			f.below = listed{}
			require.Equal(t, f.height(height) >= twoStoreys, with >= twoStoreys, "%d voices, %g mm", voices, height)
		}
	}
}
