package tuning

import (
	"cmp"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
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
	Why    Reason
}

// Reason is why a voice must be turned by hand.
type Reason struct {
	Of    Cause
	Cents float64 // from its bank, or off at Key once it is corrected
	Key   int
}

// Cause is what makes a turn needed.
type Cause uint8

// The causes.
const (
	NotNeeded    Cause = iota
	Apart              // it stands apart from its bank
	Stretched          // it does so by its cents an octave
	NoCorrection       // its readings bear none, or it is larger than a rig takes
	BeyondRange        // its correction needs volts beyond the CV range
	StillOff           // its correction leaves more than counts as in tune
)

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
	rank, why := map[*Voice]float64{}, map[*Voice]Reason{}
	for _, v := range r.Voices {
		why[v] = r.off(v)
	}
	for _, b := range r.Banks {
		for _, o := range b.Odd { // the oddest first
			if o.Heard && rank[o.Voice] == 0 {
				rank[o.Voice], why[o.Voice] = math.Abs(o.Z), Reason{Apart, o.Cents, 0}
				if o.Stretch {
					why[o.Voice] = Reason{Stretched, o.Cents, 0}
				}
			}
		}
	}
	needed := func(v *Voice) bool { return why[v].Of != NotNeeded }
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
		turns := v.trims(r.Rig.A4, StraightWithin)
		if needed(v) && v.Correction != nil && len(turns) == 0 { // several that are small add up
			turns = v.trims(r.Rig.A4, leastTurn)
		}
		for _, t := range turns {
			t.Needed, t.Why = needed(v), why[v]
			v.ByHand = v.ByHand || t.Needed
			r.Trims = append(r.Trims, t)
		}
	}
}

// off is why the correction of a voice does not do, beside its bank left aside.
func (r *Result) off(v *Voice) Reason {
	switch key := int(v.After.WorstAt); {
	case v.Correction == nil:
		return Reason{NoCorrection, 0, 0}
	case math.Abs(v.After.Worst) <= r.Within:
		return Reason{}
	case v.clamped(float64(key), r.Rig.A4):
		return Reason{BeyondRange, v.After.Worst, key}
	default:
		return Reason{StillOff, v.After.Worst, key}
	}
}

// clamped tells whether the correction of a key needs volts that the interface has not.
func (v *Voice) clamped(key float64, a4 profiles.Hertz) bool {
	volts := v.Correction.Apply(routing.VoltsAt(v.Box, a4, key))
	return volts < v.Box.Window.Low || volts > v.Box.Window.High
}

// leastTurn is the least that a trimmer is turned by, in cents, where a voice must be.
const leastTurn = 1.0

// trims are the turns of one voice. A trimmer that would move no reading by
// more than so many cents is left alone. What a key sounds before a turn is its reading, moved by
// the turns before it; the line says by how much to turn.
func (v *Voice) trims(a4 profiles.Hertz, least float64) (turns []Trim) {
	low, high := v.Points[0], v.Points[len(v.Points)-1]
	switch {
	case !v.Fitted:
		return v.offsetTrim(nil, low, v.Sharp, 0, least, a4)
	case v.Box.Scale.HertzPerVolt():
		ideal := float64(v.Box.Scale.Reference) / float64(v.Box.Scale.At)
		scale, moved := 1200*math.Log2(v.Line.Slope/ideal), 0.0
		if math.Abs(scale) > least {
			turns, moved = append(turns, v.turn(ScaleTrimmer, high, -scale, 0, a4)), -scale
		}
		return v.offsetTrim(turns, low, 100*(v.lineAt(low.Volts, a4)-low.Ideal)-scale, moved, least, a4)
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
	if math.Abs(stretch)*(octaves(high)-octaves(low)) > least {
		t := v.turn(ScaleTrimmer, high, -stretch*octaves(high), 0, a4)
		t.Stretch = -stretch
		turns = v.offsetTrim(append(turns, t), low, offset, -stretch*octaves(low), least, a4)
	} else { // the key in the middle: there a voice in tune shows what a tuner has for it
		turns = v.offsetTrim(turns, points[(len(points)-1)/2], l.At((octaves(low)+octaves(high))/2), 0, least, a4)
	}
	if len(points) < len(v.Points) {
		last, moved := v.Points[len(v.Points)-1], 0.0
		for i := range turns {
			moved += turns[i].at(octaves(last))
		}
		turns = append(turns, v.turn(HighTrimmer, last, -bend, moved, a4))
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

func (v *Voice) offsetTrim(turns []Trim, at Point, sharp, moved, least float64, a4 profiles.Hertz) []Trim {
	if math.Abs(sharp) > least {
		turns = append(turns, v.turn(OffsetTrimmer, at, -sharp, moved, a4))
	}
	return turns
}

// at is by how many cents a turn of scale or offset raises a key so many octaves above 0 V.
func (t *Trim) at(octaves float64) float64 {
	switch {
	case t.Trimmer == ScaleTrimmer:
		return t.Stretch * octaves
	case t.Up:
		return t.Cents
	}
	return -t.Cents
}

// turn is a turn at a reading, which the turns before it have moved by so many cents.
func (v *Voice) turn(which Trimmer, at Point, by, moved float64, a4 profiles.Hertz) Trim {
	from := at.Pitch + moved/100
	return Trim{Voice: v, Trimmer: which, Up: by > 0, Cents: math.Abs(by), Volts: at.Volts, Pitch: at.Ideal,
		From: hertzOf(from, a4), To: hertzOf(from+by/100, a4)}
}
