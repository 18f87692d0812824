package tuning

import (
	"math"
	"slices"

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
	r.Findings = nil
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
	r.findJumps()
	r.findUnsaid()
	r.findOneDay()
	r.findUnmeasured()
	routing.Sort(r.Findings)
}

// add makes a finding of a voice, placed at its first reading.
func (r *Result) add(v *Voice, code routing.Code, facts ...routing.Fact) *routing.Finding {
	f := routing.New(code, "corrections."+r.name(v), append(facts, routing.Named("voice", r.name(v)))...)
	f.Pos = v.Readings[0].Pos
	r.Findings = append(r.Findings, f)
	return &r.Findings[len(r.Findings)-1]
}

func (r *Result) name(v *Voice) string { return r.Rig.Voices[v.Voice].Name }

func (r *Result) findObstacle(v *Voice) {
	switch v.Why {
	case WithoutJack:
		r.add(v, routing.NoInterface)
	case TooFewVolts:
		r.add(v, routing.ReadingsTooFew, routing.Number("volts", len(v.Points), "").Main(), routing.Number("least", FewestVolts, ""))
	case NotTracking:
		facts := []routing.Fact{routing.Number("from", v.Points[0].Volts, "V"), routing.Number("to", v.Points[len(v.Points)-1].Volts, "V"),
			routing.Number("rise", 100*v.Rise, "%").Main()}
		if v.Rise > -leastRise {
			facts = append(facts, routing.Number("least", 100*leastRise, "%"))
		}
		r.add(v, routing.TrackingLost, facts...)
	case OutOfReach:
		r.add(v, routing.CorrectionTooLarge, routing.Number("off", v.Sharp, "cents").Main())
	case TooManyPoints:
		r.add(v, routing.CorrectionTooLarge, routing.Number("points", len(v.Points), "").Main(), routing.Number("most", mostPoints, ""))
	}
}

// findDoubtful speaks of readings far off the others of their voice.
func (r *Result) findDoubtful(v *Voice) {
	if v.Box == nil || v.Why == NotTracking {
		return
	}
	var cents []float64
	for _, m := range v.Readings {
		cents = append(cents, m.Cents)
	}
	middle := median(cents)
	for _, m := range v.Readings {
		if off := m.Cents - middle; math.Abs(off) > doubtful && len(v.Readings) > 2 {
			facts := []routing.Fact{routing.Number("hertz", m.Hertz, "Hz"), routing.Number("volts", m.Volts, "V"), routing.Number("off", off, "cents").Main()}
			if m.Octaves != 0 {
				facts = append(facts, routing.Number("octaves", max(m.Octaves, -m.Octaves), ""))
			}
			r.add(v, routing.ReadingDoubtful, facts...).Pos = m.Pos
		}
	}
}

func (r *Result) findBent(v *Voice) {
	if math.Abs(v.Worst) <= StraightWithin {
		return
	}
	facts := []routing.Fact{routing.Number("worst", v.Worst, "cents").Main()}
	if !v.Piecewise {
		facts = append(facts, routing.Number("leaves", v.Limit, "cents"), routing.Number("least", FewestForPoints, "keys"))
	}
	if top := v.high(); top < -StraightWithin {
		facts = append(facts, routing.Number("top", top, "cents"))
	}
	r.add(v, routing.TrackingBent, facts...)
}

func (r *Result) findOdd(b *Bank) {
	bank := routing.Named("bank", r.Rig.Banks[b.Bank].Name)
	for _, o := range b.Odd {
		what, measure := "tuned", "cents"
		if o.Stretch {
			what, measure = "stretched", "cents/oct"
		}
		facts := []routing.Fact{bank, routing.Named("what", what), routing.Number("apart", o.Cents, measure).Main(), routing.Number("z", math.Abs(o.Z), "")}
		severity := routing.Warning
		if !o.Heard {
			severity = routing.Note
		}
		switch {
		case slices.ContainsFunc(r.Instead, func(t Trim) bool { return t.Voice == o.Voice }):
			facts = append(facts, routing.Named("instead", r.name(o.Voice)))
		case !o.Heard && !o.Voice.ByHand: // it may have to be turned for another reason
			facts = append(facts, routing.Number("just_heard", heard, "cents"))
		}
		r.add(o.Voice, routing.TunedApart, facts...).Severity = severity
	}
	if b.Sharp.Undetermined {
		facts := []routing.Fact{bank}
		if len(b.Voices) < fewest {
			facts = append(facts, routing.Number("read", len(b.Voices), ""), routing.Number("least", fewest, ""))
		}
		r.Findings = append(r.Findings, routing.New(routing.TunedUndetermined, "banks."+r.Rig.Banks[b.Bank].Name, facts...))
	}
}

// findJumps speaks of voices that moved further than drift explains.
func (r *Result) findJumps() {
	for i := range r.Jumps {
		j := &r.Jumps[i]
		facts := []routing.Fact{routing.Named("from", j.From), routing.Named("to", j.To), routing.Number("moved", j.Cents, "cents").Main(), routing.Number("explained", j.Limit, "cents")}
		if !math.IsNaN(j.Others) {
			facts = append(facts, routing.Number("others", j.Others, "cents"))
		}
		r.add(j.Voice, routing.MovedApart, facts...)
	}
}

// findUnsaid is put together for all voices: nothing says what their readings went
// through.
func (r *Result) findUnsaid() {
	var names []string
	for _, v := range r.Voices {
		if v.Why == ThroughUnsaid {
			names = append(names, r.name(v))
		}
	}
	if len(names) > 0 {
		r.Findings = append(r.Findings, routing.New(routing.ReadingsThrough, "corrections", routing.Named("voices", names...).Main()))
	}
}

// findOneDay is put together for all voices: nothing is known of their drift.
func (r *Result) findOneDay() {
	var names []string
	for _, v := range r.Voices {
		if v.Correction != nil && v.Correction.Drift == nil {
			names = append(names, r.name(v))
		}
	}
	if len(names) == 0 {
		return
	}
	r.Findings = append(r.Findings, routing.New(routing.DriftUnmeasured, "corrections", routing.Named("voices", names...)))
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
	r.Findings = append(r.Findings, routing.New(routing.VoicesUnmeasured, "corrections", routing.Named("voices", names...).Assume(true).Main()))
}
