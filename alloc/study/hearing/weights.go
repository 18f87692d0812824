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
// Of a song in which too many notes sound together for too long, see [Weighs], a
// note weighs what it would alone: 9 dB for as long as its gate is high.
//
// A plan that gives up notes of the least sum is a bound on losses taken singly.
// Notes that are lost together are heard more than each by itself.
func Weights(a *Asked) []study.Weight {
	weights := make([]study.Weight, len(a.notes))
	if !Weighs(a.Reference) {
		for i := range a.notes {
			if n := &a.notes[i]; n.sounds() {
				weights[i] = weight(9 * seconds(n.low-n.start))
			}
		}
		return weights
	}
	l := a.listener(Played{}, false)
	l.each = true
	l.gatherEach()
	l.single = l.newSingle([]run{{from: 0, to: never}})
	l.pass()
	for i := range l.losses {
		y := &l.losses[i]
		if y.series != nil {
			l.single.finish(y)
		}
		weights[y.note] = weight(y.heard.Loud + y.area/100)
	}
	return weights
}

// weight is that of so many dB·s.
func weight(loud float64) study.Weight {
	return max(1, study.Weight(math.Floor(float64(float64(WeightUnit)*loud)+0.5)))
}

// mostWeighing is how many steps of all notes together are looked at: some tenths of a second.
const mostWeighing = 2_000_000

// Weighs tells whether the notes of a song are weighed beside each other: not where the
// times for which their gates are high make more than 2 million steps of 20 ms, 11 hours.
func Weighs(ref *study.Reference) bool {
	steps := int64(0)
	for i := range ref.Notes {
		if n := &ref.Notes[i]; n.End > n.Start {
			if steps += int64((n.End-n.Start)/step) + 1; steps > mostWeighing {
				return false
			}
		}
	}
	return true
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
