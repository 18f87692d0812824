package contract

import (
	"math"
	"sort"
)

// countedParts are the parts of a beat that a player counts.
var countedParts = []float64{0, 1. / 4, 1. / 3, 1. / 2, 2. / 3, 3. / 4, 1}

// Counted is the nearest place to one in a song that a player counts: on the beat, or a quarter, a third, a half … behind
// it. It is an eighth of a beat off at most; what is nearest to the next bar is that bar.
func (l *Lanes) Counted(bar int, beat float64) (int, float64) {
	whole := math.Floor(beat)
	nearest := 0.0
	for _, part := range countedParts {
		if math.Abs(beat-whole-part) < math.Abs(beat-whole-nearest) {
			nearest = part
		}
	}
	beat = whole + nearest
	if beats := l.beatsOf(bar); beats > 0 && beat >= float64(beats+1) {
		return bar + 1, 1
	}
	return bar, beat
}

// beatsOf is how many beats a bar has; 0 where that is not known.
func (l *Lanes) beatsOf(bar int) int {
	i := sort.Search(len(l.Bars), func(i int) bool { return l.Bars[i].Bar >= bar })
	if i == len(l.Bars) || l.Bars[i].Bar != bar {
		return 0
	}
	return l.Bars[i].Beats
}

// TooFew are the times of a window in which keys and pedals want more voices than there are.
func (l *Lanes) TooFew(voices int, w Window) (list []Window) {
	for i, s := range l.Pedal {
		end := l.Seconds
		if i+1 < len(l.Pedal) {
			end = l.Pedal[i+1].AtS
		}
		from, to := max(s.AtS, w.From), min(end, w.To)
		if s.Voices <= voices || from >= to {
			continue
		}
		if n := len(list); n > 0 && list[n-1].To == from {
			list[n-1].To = to
			continue
		}
		list = append(list, Window{From: from, To: to})
	}
	return list
}
