package hearing

import (
	"math"

	"choirloft/alloc/study"
)

// WeightUnit is a dB·s in weights.
const WeightUnit study.Weight = 1000

// Weights says how much would be heard if a note alone were not played and all else
// were: what its averaged difference has above 1 dB, in dB·s, and a hundredth of all
// of it besides, so that of two notes that the ear misses little the less heard goes;
// rounded to a thousandth of a dB·s and at least that, and 0 for a note without
// length. Tails are left out: a tail that is cut damages no note.
//
// A plan that gives up notes of the least sum is a bound on losses taken singly.
// Notes that are lost together are heard more than each by itself.
func Weights(a *Asked) []study.Weight {
	l := a.listener(Played{}, false)
	l.each = true
	l.gatherEach()
	l.single = &single{ear: a.Model.Ear}
	l.single.near = []run{{from: 0, to: never}}
	l.pass()
	weights := make([]study.Weight, len(a.notes))
	for i := range l.losses {
		y := &l.losses[i]
		if y.series != nil {
			l.single.finish(y)
		}
		weights[y.note] = max(1, study.Weight(math.Floor(float64(float64(WeightUnit)*(y.heard.Loud+y.area/100))+0.5)))
	}
	return weights
}

// gatherEach lists every note as one to be watched.
func (l *listener) gatherEach() {
	for i := range l.notes {
		if n := &l.notes[i]; n.sounds() {
			l.miss(piece{contour: &n.contour, from: n.start, to: n.low, note: int32(i)}, Gone)
		}
	}
	l.sortEvents()
}
