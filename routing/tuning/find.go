package tuning

import (
	"fmt"
	"math"

	"choirloft/profiles/unit"
	"choirloft/routing"
)

// doubtful is how far, in cents, a reading may lie off the median of its voice
// before it is taken for a slip of the pen: half an octave.
const doubtful = 600.0

// heard is about the smallest difference of pitch that is heard, in cents (JND
// 0.2 % from 500 to 2000 Hz): a voice that stands apart by less is a remark.
const heard = 3.5

// find says what there is to say of voices, banks and readings.
func (r *Result) find() {
	for _, v := range r.Voices {
		r.findObstacle(v)
		r.findDoubtful(v)
		if v.Correction != nil {
			r.findBent(v)
		}
	}
	for i := range r.Banks {
		r.findOdd(&r.Banks[i])
	}
	r.findOneDay()
	r.findUnmeasured()
}

// add makes a finding of a voice, placed at its first reading.
func (r *Result) add(v *Voice, code routing.Code, value float64, measure, hint, format string, args ...any) *routing.Finding {
	f := routing.New(code, "corrections."+r.name(v), fmt.Sprintf(format, args...))
	f.Value, f.Unit, f.Hint, f.Pos = &value, measure, hint, v.Readings[0].Pos
	r.Findings = append(r.Findings, f)
	return &r.Findings[len(r.Findings)-1]
}

func (r *Result) name(v *Voice) string { return r.Rig.Voices[v.Voice].Name }

func (r *Result) findObstacle(v *Voice) {
	switch v.Why {
	case WithoutJack:
		r.add(v, routing.NoInterface, 0, "", "name the interface under interfaces",
			"the pitch of %s has no jack, so nothing says what its volts stand for", r.name(v)).Value = nil
	case TooFewVolts:
		r.add(v, routing.ReadingsTooFew, float64(len(v.Points)), "", "read it at three keys at least",
			"%s was read at %d different volts on one day, and a fit takes %d", r.name(v), len(v.Points), FewestVolts)
	case NotTracking:
		r.add(v, routing.TrackingLost, v.Line.Slope, "", "look whether the cable is in this voice",
			"the pitch of %s does not rise with the volts from %s to %s V", r.name(v),
			unit.Fixed(v.Points[0].Volts, 3), unit.Fixed(v.Points[len(v.Points)-1].Volts, 3)).Value = nil
	case OutOfReach:
		r.add(v, routing.CorrectionTooLarge, v.Sharp, "cents", "turn its trimmers first, then measure it again",
			"%s is %+.1f cents off, which is more than a correction takes", r.name(v), v.Sharp)
	case TooManyPoints:
		r.add(v, routing.CorrectionTooLarge, float64(len(v.Points)), "", "leave readings out",
			"%s does not follow one line, and %d points are more than the %d that a correction takes", r.name(v), len(v.Points), mostPoints)
	}
}

// findDoubtful speaks of readings far off the others of their voice.
func (r *Result) findDoubtful(v *Voice) {
	if v.Box == nil {
		return
	}
	var cents []float64
	for _, m := range v.Readings {
		cents = append(cents, m.Cents)
	}
	middle := median(cents)
	for _, m := range v.Readings {
		if off := m.Cents - middle; math.Abs(off) > doubtful && len(v.Readings) > 2 {
			f := r.add(v, routing.ReadingDoubtful, off, "cents", "look whether key, octave and hertz belong together",
				"%s Hz at %s V is %+.0f cents off the other readings of %s", unit.Fixed(m.Hertz, 2), unit.Fixed(m.Volts, 3), off, r.name(v))
			f.Pos = m.Pos
		}
	}
}

func (r *Result) findBent(v *Voice) {
	if !v.Piecewise {
		return
	}
	hint := "the correction has points, straight between them"
	if v.high() < -StraightWithin {
		hint = "it falls away at the top: turn up its trimmer for the highest keys, if it has one; until then the correction has points"
	}
	r.add(v, routing.TrackingBent, v.Worst, "cents", hint,
		"%s does not follow one line: its readings are up to %s cents off it", r.name(v), unit.Fixed(math.Abs(v.Worst), 1))
}

func (r *Result) findOdd(b *Bank) {
	for _, o := range b.Odd {
		what, measure := "tuned", "cents"
		if o.Stretch {
			what, measure = "stretched", "cents/oct"
		}
		f := r.add(o.Voice, routing.TunedApart, o.Cents, measure, "turn the trimmers that are named, then measure it again",
			"%s stands apart from bank %s: %s %+.1f %s from the median, a modified z-score of %s",
			r.name(o.Voice), r.Rig.Banks[b.Bank].Name, what, o.Cents, measure, unit.Fixed(math.Abs(o.Z), 1))
		if !r.apart(o) {
			f.Severity, f.Hint = routing.Note, "leave it: nobody hears so little"
		}
	}
	if b.Sharp.Undetermined {
		why := fmt.Sprintf("%d voices of bank %s were read, and it takes %d", len(b.Voices), r.Rig.Banks[b.Bank].Name, fewest)
		if len(b.Voices) >= fewest {
			why = fmt.Sprintf("most voices of bank %s read exactly alike, so there is no tuning error to measure by", r.Rig.Banks[b.Bank].Name)
		}
		f := routing.New(routing.TunedUndetermined, "banks."+r.Rig.Banks[b.Bank].Name, "nothing tells which voice is the odd one out: "+why)
		f.Hint = "measure more voices of the bank"
		r.Findings = append(r.Findings, f)
	}
}

// findOneDay is put together for all voices: nothing is known of their drift.
func (r *Result) findOneDay() {
	var names []string
	for _, v := range r.Voices {
		if v.Correction != nil && v.Drift.Days < 2 {
			names = append(names, r.name(v))
		}
	}
	if len(names) == 0 {
		return
	}
	f := routing.New(routing.DriftUnmeasured, "corrections", "read on one day only: "+unit.First(names, 8))
	f.Hint = "measure them again on another day, with dates: one day does not show drift"
	r.Findings = append(r.Findings, f)
}

// apart tells whether a voice stands apart by what is heard: over the span of its
// readings, where it is its scale.
func (r *Result) apart(o Odd) bool {
	span := 1.0
	if o.Stretch {
		span = (o.Voice.Points[len(o.Voice.Points)-1].Ideal - o.Voice.Points[0].Ideal) / 12
	}
	return math.Abs(o.Cents)*span >= heard
}

// findUnmeasured names the voices without readings.
func (r *Result) findUnmeasured() {
	read := map[int]bool{}
	for _, v := range r.Voices {
		read[v.Voice] = true
	}
	var names []string
	now := routing.Corrections(r.Rig)
	for i, v := range r.Rig.Voices {
		if !read[i] && now[i].Residual == nil {
			names = append(names, v.Name)
		}
	}
	if len(names) == 0 {
		return
	}
	n := float64(len(names))
	f := routing.New(routing.VoicesUnmeasured, "corrections", "without readings: "+unit.First(names, 8))
	f.Value, f.Assumed = &n, true
	r.Findings = append(r.Findings, f)
}
