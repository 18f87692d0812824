package figures

import (
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
		lane := "dropped"
		if x.Voice != nil {
			lane = l.Voices[*x.Voice-1].Name
		}
		item := say.LossOnLane(x, lane, len(l.Parts) == 1)
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
