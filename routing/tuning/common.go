package tuning

import (
	"math"
	"slices"

	"choirloft/profiles"
)

// Common is how all voices moved alike between days: by a reference that drifts, or the
// warmth of the rack.
type Common struct {
	Voices, Days int // that it rests on: voices read on each of these days
	// SD is the standard deviation between days of what the voices have in common, in
	// cents. Of the change c of the mean of V voices on D days and what is left of each,
	// r: √(Σc²/(D−1) − (Σr²/((D−1)(V−1)))/V), or 0; a two-way analysis of variance.
	SD float64
}

// common compares the voices that were read on the same days, of those the days that
// most were read on; without two of each it is empty.
func common(voices []*Voice) (c Common, of []*Voice) {
	groups := map[string][]*Voice{}
	best := ""
	for _, v := range voices {
		days, key := v.days(), ""
		for _, d := range days {
			key += d + " "
		}
		groups[key] = append(groups[key], v)
		if len(days) > 1 && (best == "" || len(groups[key]) > len(groups[best])) {
			best = key
		}
	}
	of = groups[best]
	if best == "" || len(of) < 2 {
		return Common{}, nil
	}
	c = Common{Voices: len(of), Days: len(of[0].days())}
	mean := make([]float64, c.Days)
	moves := make([][]float64, len(of))
	for i, v := range of {
		moves[i] = v.moves()
		for day, cents := range moves[i] {
			mean[day] += cents / float64(len(of))
		}
	}
	var alike, apart float64
	for day, cents := range mean {
		alike += cents * cents
		for i := range moves {
			apart += (moves[i][day] - cents) * (moves[i][day] - cents)
		}
	}
	free := float64(c.Days - 1)
	c.SD = math.Sqrt(max(0, alike/free-apart/free/float64(len(of)-1)/float64(len(of))))
	return c, of
}

// days are the dated days with readings of a voice that another day has at the same volts.
func (v *Voice) days() (days []string) {
	for _, m := range v.Readings {
		if m.Date != "" && !slices.Contains(days, m.Date) {
			days = append(days, m.Date)
		}
	}
	slices.Sort(days)
	return slices.DeleteFunc(days, func(day string) bool {
		return !slices.ContainsFunc(v.byVolts(), func(at sameAt) bool { return len(at.means([]string{day})) > 0 && len(at.means(days)) > 1 })
	})
}

// moves is by how much each day differs from the mean of its days, in cents: the mean over
// the volts that all days have, or else over those of the day.
func (v *Voice) moves() []float64 {
	days := v.days()
	sums, n := make([]float64, len(days)), make([]float64, len(days))
	for _, at := range v.byVolts() {
		if len(at.means(days)) < 2 {
			continue
		}
		var mean float64
		for _, cents := range at.means(days) {
			mean += cents / float64(len(at.means(days)))
		}
		for i, day := range days {
			for _, cents := range at.means([]string{day}) {
				sums[i], n[i] = sums[i]+cents-mean, n[i]+1
			}
		}
	}
	for i := range sums {
		sums[i] /= max(1, n[i])
	}
	return sums
}

// share writes what voices have in common into their corrections, as a part of the drift of
// each.
func (c Common) share(voices []*Voice) {
	for _, v := range voices {
		if k := v.Correction; k != nil && k.Drift != nil {
			k.CommonDrift = new(min(*k.Drift, profiles.Cents(round(c.SD, 1e2))))
		}
	}
}
