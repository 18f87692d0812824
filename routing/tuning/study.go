package tuning

import (
	"cmp"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
)

// Result is what readings say of a rig.
type Result struct {
	Rig    *profiles.Rig
	Within float64  // cents: what counts as in tune
	Voices []*Voice // those that were read, in the order of the rig
	Banks  []Bank   // those with voices that were read, in the order of the rig
	Common Common   // how they moved alike between days
	Jumps  []Jump   // further than drift explains, by day, then in the order of the rig
	Trims  []Trim   // in the order in which to turn
	// Instead are turns that are needed, and whose place corrections take.
	Instead []Trim
	// Findings speak of voices and readings, sorted.
	Findings []routing.Finding
}

// Bank is the voices of a bank beside each other.
type Bank struct {
	Bank   int
	Voices []*Voice
	Sharp  Scores // of Voice.Sharp
	// Stretch scores Voice.Stretch of the voices under Stretched, those with a
	// fit.
	Stretch   Scores
	Stretched []*Voice
	Odd       []Odd // the oddest first
}

// Odd is a voice that stands apart from its bank.
type Odd struct {
	Voice   *Voice
	Stretch bool    // by its cents per octave, else by its cents
	Cents   float64 // from the median
	Z       float64
	Heard   bool // apart by what is heard: over the span of its readings, where it is its scale
}

// Corrections are what the rig should say, in the order of the rig, but of voices
// that must be turned by hand: they are measured again after that.
func (r *Result) Corrections() (all []profiles.Correction) {
	for _, v := range r.Voices {
		if v.Correction != nil && !v.ByHand {
			all = append(all, *v.Correction)
		}
	}
	return all
}

// InsteadOfTrimming takes the corrections of voices that should be turned by hand, where
// they have any, in place of the turns.
func (r *Result) InsteadOfTrimming() {
	corrected := func(v *Voice) bool { return v.Correction != nil }
	for _, v := range r.Voices {
		v.ByHand = v.ByHand && !corrected(v)
	}
	for _, t := range r.Trims {
		if t.Needed && corrected(t.Voice) {
			r.Instead = append(r.Instead, t)
		}
	}
	r.Trims = slices.DeleteFunc(r.Trims, func(t Trim) bool { return corrected(t.Voice) })
	r.find()
}

// Study works readings out. Within is how many cents off still count as in tune,
// above 0.
func Study(rig *profiles.Rig, readings []Reading, within float64) *Result {
	r := &Result{Rig: rig, Within: within}
	by := make([][]Reading, len(rig.Voices))
	for _, reading := range readings {
		by[reading.Voice] = append(by[reading.Voice], reading)
	}
	now, m := routing.Corrections(rig), routing.NewMap(rig)
	boxes := boxesOf(m)
	for i := range rig.Voices {
		if len(by[i]) > 0 {
			r.Voices = append(r.Voices, newVoice(rig, &now[i], boxes[i], m.WayTo(i), by[i], within))
		}
	}
	c, of := common(r.Voices)
	r.Common = c
	c.share(of)
	r.Jumps = r.jumps()
	r.compare()
	r.trim()
	r.find()
	return r
}

// compare sets the voices of each bank beside each other.
func (r *Result) compare() {
	for bank := range r.Rig.Banks {
		b := Bank{Bank: bank}
		var sharp, stretch []float64
		for _, v := range r.Voices {
			if r.Rig.Voices[v.Voice].Bank != bank || len(v.Points) == 0 || v.Box == nil || v.Why == NotTracking || v.Why == ThroughUnsaid {
				continue
			}
			b.Voices, sharp = append(b.Voices, v), append(sharp, v.Sharp)
			if v.Fitted && !v.Box.Scale.HertzPerVolt() {
				b.Stretched, stretch = append(b.Stretched, v), append(stretch, v.Stretch)
			}
		}
		if len(b.Voices) == 0 {
			continue
		}
		b.Sharp, b.Stretch = ModifiedZ(sharp), ModifiedZ(stretch)
		b.Odd = append(odd(b.Voices, sharp, b.Sharp, false), odd(b.Stretched, stretch, b.Stretch, true)...)
		slices.SortStableFunc(b.Odd, func(x, y Odd) int { return cmp.Compare(math.Abs(y.Z), math.Abs(x.Z)) })
		r.Banks = append(r.Banks, b)
	}
}

// apart tells whether a voice stands apart by what is heard.
func (o Odd) apart() bool {
	span := 1.0
	if o.Stretch {
		span = (o.Voice.Points[len(o.Voice.Points)-1].Ideal - o.Voice.Points[0].Ideal) / 12
	}
	return math.Abs(o.Cents)*span >= heard
}

// odd lists the voices whose value stands apart.
func odd(voices []*Voice, values []float64, s Scores, stretch bool) (all []Odd) {
	for i, z := range s.Z {
		if math.Abs(z) > ModifiedZLimit {
			o := Odd{voices[i], stretch, values[i] - s.Median, z, false}
			o.Heard = o.apart()
			all = append(all, o)
		}
	}
	return all
}
