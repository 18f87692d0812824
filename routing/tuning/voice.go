package tuning

import (
	"cmp"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
)

const (
	// FewestVolts is how many different volts a fit takes at the least: two give
	// a line that nothing contradicts.
	FewestVolts = 3
	// StraightWithin is how many cents a reading may lie off the line before the
	// correction gets points.
	StraightWithin = 3.0
	// correctable bounds what a rig takes as an offset, in volts, and as a scale.
	correctable, leastScale, mostScale = 1.0, 0.5, 2.0
	// FewestForPoints is how many different volts it takes for a correction with
	// points: through fewer, points would follow every slip of a reading, and a line
	// with wide limits says what is known.
	FewestForPoints = 5
	// leastRise is what a voice rises by at the least if its pitch cable is in it, of
	// what was asked: 10 %.
	leastRise = 0.1
	// mostPoints is how many points a rig takes in a correction.
	mostPoints = 128
)

// Voice is what the readings say of one voice.
type Voice struct {
	Voice    int
	Box      *profiles.Interface // of its pitch jack; nil without one
	way      routing.Way         // from that jack to the voice
	Readings []Measured          // of all days, by date, then volts
	Date     string              // of the readings that the fit rests on; empty where they have none
	Points   []Point             // of that date: by ascending volts, one for each
	// Fitted: the readings bear a fit. Otherwise Line, Correction and what rests
	// on them are not there, and Why says what is in the way.
	Fitted bool
	Why    Obstacle
	// Line is cents against A4 over volts, or hertz over volts where the interface
	// has hertz per volt.
	Line      Line
	Residual  float64 // standard deviation of the readings from the line, in cents
	Worst     float64 // largest residual, with its sign
	Piecewise bool    // one line does not hold

	// At 0 V, and for each octave, by how many cents the voice is sharp. With
	// hertz per volt Offset is at the middle of the readings and Stretch 0: there
	// the trimmers are in hertz.
	Offset, Stretch float64
	// Middle is the key of the middle of the readings, and Sharp by how many
	// cents the voice is sharp there.
	Middle, Sharp float64

	// Limit is how far off a key between the readings may be once it is corrected,
	// for all that is known: 95 % of readings lie nearer; in cents, at the readings'
	// worse end.
	Limit float64
	// Rise is the slope of what it sounded over what it was asked for: 1 in tune.
	Rise float64
	// ByHand: a trimmer of it must be turned, so that the correction is not for the rig.
	ByHand bool

	Correction *profiles.Correction // what the rig should say; nil unless Fitted
	Before     Usable               // with what the rig says now
	After      Usable               // with Correction; nothing without
	Drift      Drift
}

// Obstacle says why there is no fit.
type Obstacle uint8

// The obstacles.
const (
	NoObstacle    Obstacle = iota
	TooFewVolts            // fewer than FewestVolts different volts on any day
	NotTracking            // the pitch does not rise with the volts
	OutOfReach             // the correction would be larger than a rig takes
	WithoutJack            // its pitch has no jack, so nothing says what the volts stand for
	ThroughUnsaid          // nothing says whether the readings went through the correction of the rig
	TooManyPoints          // one line does not hold, at more volts than a correction takes
)

// Measured is a reading beside what the voice should have given.
type Measured struct {
	Reading
	Want     profiles.Hertz // in tune, for these volts
	Cents    float64        // sharp by so much
	asked    float64        // the pitch of Want, in keys
	Residual float64        // off the fit, in cents; 0 where the reading is of another day
	Used     bool           // the fit rests on it
	// Octaves is by how many octaves it lies off the others of its day: set apart, the
	// fit does not rest on it. 0 for all others.
	Octaves int
}

// Point is the mean of the readings at some volts.
type Point struct {
	Volts profiles.Volts
	Ideal float64 // the pitch that the volts stand for, in keys
	Pitch float64 // the pitch that was measured, in keys
}

// cents is by how much a point is sharp.
func (p Point) cents() float64 { return 100 * (p.Pitch - p.Ideal) }

// pitchOf is a pitch in keys.
func pitchOf(hertz, a4 profiles.Hertz) float64 {
	return 69 + 12*math.Log2(float64(hertz/a4))
}

// hertzOf is the other way round.
func hertzOf(pitch float64, a4 profiles.Hertz) profiles.Hertz {
	return a4 * profiles.Hertz(math.Exp2((pitch-69)/12))
}

// newVoice works the readings of one voice out. now is the correction that the
// rig has.
func newVoice(rig *profiles.Rig, now *profiles.Correction, box *profiles.Interface, way routing.Way, readings []Reading, within float64) *Voice {
	v := &Voice{Voice: now.Voice, Box: box, way: way}
	v.order(readings)
	if box == nil {
		v.Why = WithoutJack
		return v
	}
	v.compare(rig.A4)
	v.setApart(rig.A4)
	v.choose(rig.A4)
	v.Before = v.usable(within, rig.A4, now)
	v.Drift = v.drift()
	v.Rise = rise(v.Points)
	switch distinct := len(v.Points); {
	case distinct > 1 && v.Rise < leastRise && (distinct >= FewestVolts || v.Points[distinct-1].Ideal-v.Points[0].Ideal >= 12):
		v.Why = NotTracking
	case distinct < FewestVolts:
		v.Why = TooFewVolts
	default:
		v.fit(rig.A4)
	}
	v.place(rig.A4)
	if v.Fitted {
		v.correct(rig.A4, now)
	}
	if v.Correction != nil && v.unsaid(now, rig.A4) {
		v.Correction, v.Why = nil, ThroughUnsaid
	}
	if v.Correction != nil {
		v.After = v.usable(within, rig.A4, v.Correction)
	}
	return v
}

func (v *Voice) order(readings []Reading) {
	for _, r := range readings {
		v.Readings = append(v.Readings, Measured{Reading: r})
	}
	slices.SortStableFunc(v.Readings, func(a, b Measured) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.Volts, b.Volts))
	})
}

// compare sets every reading against what the voice should have given.
func (v *Voice) compare(a4 profiles.Hertz) {
	for i := range v.Readings {
		m := &v.Readings[i]
		ideal := routing.PitchAt(v.Box, a4, m.Volts)
		m.asked, m.Want = ideal, hertzOf(ideal, a4)
		m.Cents = 100 * (pitchOf(m.Hertz, a4) - ideal)
	}
}

// octaveWithin is how near a whole octave a slip is, in cents.
const octaveWithin = 150.0

// setApart finds the readings that lie whole octaves off the others of their day:
// a tuner that took a harmonic for the note, or an octave written for another. They
// are fewer than half, and a voice that does not follow its volts has none.
func (v *Voice) setApart(a4 profiles.Hertz) {
	byDay := map[string][]*Measured{}
	for i := range v.Readings {
		m := &v.Readings[i]
		byDay[m.Date] = append(byDay[m.Date], m)
	}
	for day, readings := range byDay {
		if rise(v.points(day, a4)) < leastRise {
			continue
		}
		var cents []float64
		for _, m := range readings {
			cents = append(cents, m.Cents)
		}
		middle := median(cents)
		off := make([]int, len(readings))
		slips := 0
		for i, m := range readings {
			octaves := math.Round((m.Cents - middle) / 1200)
			if math.Abs(m.Cents-middle-1200*octaves) <= octaveWithin && octaves != 0 {
				off[i] = int(octaves)
				slips++
			}
		}
		if 2*slips >= len(readings) {
			continue
		}
		for i, m := range readings {
			m.Octaves = off[i]
		}
	}
}

// rise is the slope of what was sounded over what was asked, by least squares; 1 where
// there is no telling.
func rise(points []Point) float64 {
	var x, y []float64
	for _, p := range points {
		x, y = append(x, p.Ideal), append(y, p.Pitch)
	}
	l, ok := FitLine(x, y, nil)
	if !ok {
		return 1
	}
	return l.Slope
}

// choose takes the last day on which there are enough readings for a fit, or
// else, if that is more, the day with most.
func (v *Voice) choose(a4 profiles.Hertz) {
	var days []string
	for _, m := range v.Readings {
		if !slices.Contains(days, m.Date) {
			days = append(days, m.Date)
		}
	}
	for _, day := range days { // ascending
		points := v.points(day, a4)
		if len(points) >= min(FewestVolts, len(v.Points)) {
			v.Date, v.Points = day, points
		}
	}
	for i := range v.Readings {
		v.Readings[i].Used = v.Readings[i].Date == v.Date && v.Readings[i].Octaves == 0
	}
}

// points are the means of a day's readings by volts.
func (v *Voice) points(day string, a4 profiles.Hertz) (points []Point) {
	n := 0
	for _, m := range v.Readings {
		if m.Date != day || m.Octaves != 0 {
			continue
		}
		pitch := pitchOf(m.Hertz, a4)
		if last := len(points) - 1; last >= 0 && math.Abs(float64(m.Volts-points[last].Volts)) < sameVolts {
			n++
			points[last].Pitch += (pitch - points[last].Pitch) / float64(n)
			continue
		}
		n = 1
		points = append(points, Point{m.Volts, routing.PitchAt(v.Box, a4, m.Volts), pitch})
	}
	return points
}

// sameVolts is below what any converter tells apart: 1 µV.
const sameVolts = 1e-6

// fit fits the line over the readings of the day.
func (v *Voice) fit(a4 profiles.Hertz) {
	var x, y, w []float64
	for _, m := range v.Readings {
		if m.Used {
			x = append(x, float64(m.Volts))
			y = append(y, 100*(pitchOf(m.Hertz, a4)-69))
			if v.Box.Scale.HertzPerVolt() {
				y[len(y)-1] = float64(m.Hertz)
				w = append(w, 1/float64(m.Hertz*m.Hertz))
			}
		}
	}
	line, ok := FitLine(x, y, w)
	if !ok || line.Slope <= 0 {
		v.Why = NotTracking
		return
	}
	v.Fitted, v.Line = true, line
	v.residuals(a4)
}

// residuals sets the readings of the day against the line.
func (v *Voice) residuals(a4 profiles.Hertz) {
	var sum float64
	n := 0
	for i := range v.Readings {
		m := &v.Readings[i]
		if !m.Used {
			continue
		}
		m.Residual = 100 * (pitchOf(m.Hertz, a4) - v.lineAt(m.Volts, a4))
		sum += m.Residual * m.Residual
		n++
		if math.Abs(m.Residual) > math.Abs(v.Worst) {
			v.Worst = m.Residual
		}
	}
	if n > 2 {
		v.Residual = math.Sqrt(sum / float64(n-2))
	}
	v.Piecewise = math.Abs(v.Worst) > StraightWithin && len(v.Points) >= FewestForPoints
}

// lineAt is the pitch, in keys, that the line has for some volts.
func (v *Voice) lineAt(volts profiles.Volts, a4 profiles.Hertz) float64 {
	y := v.Line.At(float64(volts))
	if v.Box.Scale.HertzPerVolt() {
		return pitchOf(profiles.Hertz(max(y, 1e-9)), a4)
	}
	return 69 + y/100
}

// place says where the voice is, by the fit if there is one, or else by the
// mean of its readings.
func (v *Voice) place(a4 profiles.Hertz) {
	if len(v.Points) == 0 {
		return
	}
	first, last := v.Points[0], v.Points[len(v.Points)-1]
	v.Middle = (first.Ideal + last.Ideal) / 2
	if !v.Fitted {
		for _, p := range v.Points {
			v.Sharp += p.cents() / float64(len(v.Points))
		}
		return
	}
	at := func(pitch float64) float64 {
		return 100 * (v.lineAt(routing.VoltsAt(v.Box, a4, pitch), a4) - pitch)
	}
	v.Sharp = at(v.Middle)
	v.Offset = v.Sharp
	if !v.Box.Scale.HertzPerVolt() {
		v.Offset = at(float64(v.Box.ZeroKey))
		v.Stretch = v.Line.Slope*float64(v.Box.Scale.PerOctave) - 1200
	}
}
