package tuning

import (
	"cmp"
	"math"
	"slices"

	"choirloft/profiles"
)

// Trim is one turn of one trimmer of a voice, with what a tuner should show.
//
// The scale comes before the offset, since turning the scale moves every key
// but the one at 0 V. That a scale trimmer leaves 0 V alone is common practice,
// not measured: where it does not, both turns are made twice.
type Trim struct {
	Voice   *Voice
	Trimmer Trimmer
	Up      bool    // the turn must raise the pitch
	Cents   float64 // by so much, at Volts; above 0
	// Stretch is what is taken off the scale, in cents per octave, with its sign;
	// 0 for other trimmers.
	Stretch float64
	Volts   profiles.Volts // to hold meanwhile, at the pitch jack
	Pitch   float64        // what those volts stand for, in keys
	From    profiles.Hertz // what is heard before the turn
	To      profiles.Hertz // and should be after it
	// Needed: the voice stands apart, or cannot be corrected to within what counts
	// as in tune. Otherwise the correction does as well.
	Needed bool
}

// Trimmer is one of the trimmers that an oscillator has.
type Trimmer uint8

// The trimmers, in the order in which they are turned.
const (
	ScaleTrimmer  Trimmer = iota // volts per octave
	OffsetTrimmer                // tune
	HighTrimmer                  // tracking of the highest keys, where there is one
)

// trim lists the turns, voice by voice: what is needed first, the odd ones of
// their banks before the others, then those that are furthest out.
func (r *Result) trim() {
	rank := map[*Voice]float64{}
	for _, b := range r.Banks {
		for _, o := range b.Odd {
			if o.Heard {
				rank[o.Voice] = max(rank[o.Voice], math.Abs(o.Z))
			}
		}
	}
	needed := func(v *Voice) bool {
		return rank[v] > 0 || v.Correction == nil || math.Abs(v.After.Worst) > r.Within
	}
	voices := slices.Clone(r.Voices)
	slices.SortStableFunc(voices, func(a, b *Voice) int {
		if needed(a) != needed(b) {
			if needed(a) {
				return -1
			}
			return 1
		}
		return cmp.Or(cmp.Compare(rank[b], rank[a]), cmp.Compare(math.Abs(b.Sharp), math.Abs(a.Sharp)))
	})
	for _, v := range voices {
		if v.Box == nil || len(v.Points) == 0 || v.Why == NotTracking || v.Why == ThroughUnsaid {
			continue
		}
		for _, t := range v.trims(r.Rig.A4) {
			t.Needed = needed(v)
			v.ByHand = v.ByHand || t.Needed
			r.Trims = append(r.Trims, t)
		}
	}
}

// trims are the turns of one voice. A trimmer that would move no reading by
// more than 3 cents is left alone.
func (v *Voice) trims(a4 profiles.Hertz) (turns []Trim) {
	low, high := v.Points[0], v.Points[len(v.Points)-1]
	switch {
	case !v.Fitted:
		return v.offsetTrim(nil, low, v.Sharp, a4)
	case v.Box.Scale.HertzPerVolt():
		ideal := float64(v.Box.Scale.Reference) / float64(v.Box.Scale.At)
		scale := 1200 * math.Log2(v.Line.Slope/ideal)
		if math.Abs(scale) > StraightWithin {
			turns = append(turns, v.turn(ScaleTrimmer, high, -scale, high.cents(), a4))
		}
		return v.offsetTrim(turns, low, 100*(v.lineAt(low.Volts, a4)-low.Ideal)-scale, a4)
	}
	bend := v.high()
	points := v.Points
	if math.Abs(bend) > StraightWithin {
		points = points[:len(points)-1] // the last one is not for scale and offset to mend
	}
	l, _ := v.lineOf(points)
	high = points[len(points)-1]
	octaves := func(p Point) float64 { return (p.Ideal - float64(v.Box.ZeroKey)) / 12 }
	offset, stretch := l.Intercept, l.Slope
	if math.Abs(stretch)*(octaves(high)-octaves(low)) > StraightWithin {
		t := v.turn(ScaleTrimmer, high, -stretch*octaves(high), offset+stretch*octaves(high), a4)
		t.Stretch = -stretch
		turns = v.offsetTrim(append(turns, t), low, offset, a4)
	} else {
		turns = v.offsetTrim(turns, low, l.At((octaves(low)+octaves(high))/2), a4)
	}
	if len(points) < len(v.Points) {
		turns = append(turns, v.turn(HighTrimmer, v.Points[len(v.Points)-1], -bend, bend, a4))
	}
	return turns
}

// lineOf is by how many cents points are sharp, over octaves above 0 V.
func (v *Voice) lineOf(points []Point) (Line, bool) {
	var x, y []float64
	for _, p := range points {
		x, y = append(x, (p.Ideal-float64(v.Box.ZeroKey))/12), append(y, p.cents())
	}
	return FitLine(x, y, nil)
}

// high is by how much the highest point is off the line through those below it,
// in cents, where that line holds them: what a high-frequency trimmer mends. It
// is 0 otherwise.
func (v *Voice) high() float64 {
	n := len(v.Points)
	if n <= FewestVolts {
		return 0
	}
	l, ok := v.lineOf(v.Points[:n-1])
	if !ok {
		return 0
	}
	off := func(p Point) float64 { return p.cents() - l.At((p.Ideal-float64(v.Box.ZeroKey))/12) }
	for _, p := range v.Points[:n-1] {
		if math.Abs(off(p)) > StraightWithin {
			return 0
		}
	}
	return off(v.Points[n-1])
}

func (v *Voice) offsetTrim(turns []Trim, at Point, sharp float64, a4 profiles.Hertz) []Trim {
	if math.Abs(sharp) > StraightWithin {
		turns = append(turns, v.turn(OffsetTrimmer, at, -sharp, sharp, a4))
	}
	return turns
}

// turn is a turn at a point where the voice, as it then is, is sharp by so many
// cents.
func (v *Voice) turn(which Trimmer, at Point, by, sharp float64, a4 profiles.Hertz) Trim {
	from := at.Ideal + sharp/100
	return Trim{Voice: v, Trimmer: which, Up: by > 0, Cents: math.Abs(by), Volts: at.Volts, Pitch: at.Ideal,
		From: hertzOf(from, a4), To: hertzOf(from+by/100, a4)}
}
