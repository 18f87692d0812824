package paper

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What goes round a cable is its girth and 1.5 mm for the folds, worked out by hand:
// π·3 = 9.42, π·4 = 12.57, π·6 = 18.85. On A4, 4 columns of 69.1 mm and 17 rows of
// 11 mm lie within margins of 8 mm: 68 flags.
func TestFlags(t *testing.T) {
	for d, want := range map[float64]float64{0: 14.07, 3: 10.92, 4: 14.07, 6: 20.35} {
		require.InDelta(t, want, Options{Cable: d}.wrap(), 0.01)
	}
	for _, d := range []float64{2, 4, 8} {
		for _, letter := range []bool{false, true} {
			o := Options{Cable: d, Letter: letter}
			s := demoSheet(t)
			var heads []int
			pages := pagesOf(s, o)
			inside(t, pages)
			for _, p := range pages {
				if !strings.Contains(p.Title, "labels") {
					continue
				}
				n := 0
				for _, x := range p.Texts() {
					if strings.HasPrefix(x.Text, "from ") || strings.HasPrefix(x.Text, "to ") {
						n++
					}
				}
				heads = append(heads, n/2) // on both faces
			}
			require.Equal(t, 2*len(s.Map.Cables), heads[0]+heads[1])
			if !letter {
				require.Equal(t, 68, heads[0])
			}
		}
	}
}
