package advise

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Of two fixes that cost nothing else the one with less to hear comes first. What loses more than twice as many notes
// and is heard for longer than as it is stands last, whatever it saves by dB·s; what does only one of both stands with
// the others.
func TestWhatLosesTwiceAsManyAndLongerStandsLast(t *testing.T) {
	f := &finder{now: &tried{Figures: Figures{Cut: 84, Faint: 60 * time.Second, Heard: 300}}}
	fix := func(dropped, cut int, faint time.Duration, heard float64, effort Effort) Fix {
		x := tried{Figures: Figures{Dropped: dropped, Cut: cut, Faint: faint, Heard: heard}}
		return Fix{Figures: x.Figures, Effort: effort, tried: &x}
	}
	heard := func(list []Fix) (all []float64) {
		for _, x := range f.arrange(list) {
			all = append(all, x.Heard)
		}
		return all
	}
	harsh := fix(390, 9, 67*time.Second, 100, Setting)
	require.Equal(t, []float64{200, 250, 100}, heard([]Fix{harsh, fix(0, 84, 59*time.Second, 250, Wiring), fix(0, 84, 50*time.Second, 200, Setting)}))
	harsh.Faint = 60 * time.Second
	require.Equal(t, []float64{100, 200, 250}, heard([]Fix{harsh, fix(0, 84, 59*time.Second, 250, Wiring), fix(0, 84, 50*time.Second, 200, Setting)}))
	harsh.Faint, harsh.Dropped = 67*time.Second, 2*84-9
	require.Equal(t, []float64{100, 200, 250}, heard([]Fix{harsh, fix(0, 84, 59*time.Second, 250, Wiring), fix(0, 84, 50*time.Second, 200, Setting)}))
}
