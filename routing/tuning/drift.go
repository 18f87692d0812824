package tuning

import (
	"math"
	"slices"
)

// Drift is how a voice has moved between dated readings.
type Drift struct {
	Days int // with readings, dated ones
	// SD is the standard deviation between days, in cents, over all volts that
	// were read on several: √(Σ(day − mean)²/Σ(days − 1)).
	SD float64
	// Moved is by how many cents the voice has risen from First to Last, the mean
	// over the volts that both days have; Common counts them.
	Moved       float64
	First, Last string
	Common      int
}

// drift compares the days; without two days that have volts in common it is
// empty.
func (v *Voice) drift() (d Drift) {
	var days []string
	for _, m := range v.Readings {
		if m.Date != "" && !slices.Contains(days, m.Date) {
			days = append(days, m.Date)
		}
	}
	var squares float64
	var free int
	for _, at := range v.byVolts() {
		means := at.means(days)
		if len(means) < 2 {
			continue
		}
		var mean float64
		for _, m := range means {
			mean += m / float64(len(means))
		}
		for _, m := range means {
			squares += (m - mean) * (m - mean)
		}
		free += len(means) - 1
	}
	if free == 0 {
		return Drift{}
	}
	d = Drift{Days: len(days), SD: math.Sqrt(squares / float64(free))}
	d.First, d.Last = days[0], days[len(days)-1]
	for _, at := range v.byVolts() {
		if two := at.means([]string{d.First, d.Last}); len(two) == 2 {
			d.Moved += two[1] - two[0]
			d.Common++
		}
	}
	if d.Common > 0 {
		d.Moved /= float64(d.Common)
	}
	return d
}

// sameKey is how near readings of different days are to each other, in keys, that
// are compared: one may have gone through a correction, and another not.
const sameKey = 0.5

// sameAt are the readings at some volts.
type sameAt []Measured

// byVolts gathers the readings of all days by their volts.
func (v *Voice) byVolts() (groups []sameAt) {
	sorted := slices.DeleteFunc(slices.Clone(v.Readings), func(m Measured) bool { return m.Octaves != 0 })
	slices.SortStableFunc(sorted, func(a, b Measured) int {
		switch {
		case a.Volts < b.Volts:
			return -1
		case a.Volts > b.Volts:
			return 1
		}
		return 0
	})
	for i, m := range sorted {
		if i > 0 && m.asked-groups[len(groups)-1][0].asked < sameKey {
			groups[len(groups)-1] = append(groups[len(groups)-1], m)
			continue
		}
		groups = append(groups, sameAt{m})
	}
	return groups
}

// means is the mean of each of these days that has readings here.
func (s sameAt) means(days []string) (means []float64) {
	for _, day := range days {
		var sum float64
		n := 0
		for _, m := range s {
			if m.Date == day {
				sum += m.Cents
				n++
			}
		}
		if n > 0 {
			means = append(means, sum/float64(n))
		}
	}
	return means
}
