package contract

import (
	"fmt"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
	"choirloft/routing/tuning"
)

// TuneInput is all that was worked out from readings.
type TuneInput struct {
	RigFile       string
	Before, After *plan.Plan // the rig as it is, and with the corrections
	Study         *tuning.Result
	Readings      int
	Recordings    []tuning.Heard
	Turned        []int  // voices whose trimmers were turned, indexes into Rig.Voices; nil where nobody says
	Written       string // the file that the corrections were written into; empty for none
}

// NewTune returns the report of readings.
func NewTune(in TuneInput) *Tune {
	b := &tuner{in: in, rig: in.Before.Rig}
	t := &Tune{
		Version: Version, Rig: b.rig.Name, Fingerprint: in.Before.Code(), WithinCents: in.Study.Within, Readings: in.Readings,
		Recordings: b.recordings(), Banks: b.banks(), Turns: b.turns(in.Study.Trims), Instead: b.turns(in.Study.Instead), Unisons: b.unisons(), Map: b.moves(), Figures: b.figures(),
		AssumedBefore: routing.CountAssumed(in.Before.Findings), AssumedAfter: routing.CountAssumed(in.After.Findings),
		Findings: newFindings(in.Study.Findings), Corrections: []string{}, Written: optional(in.Written),
		RigFile: in.RigFile, MiddleC: int(b.rig.MiddleC), Voices: []TunedVoice{}, Jumps: []TunedJump{}, Turned: []string{},
	}
	for _, j := range in.Study.Jumps {
		t.Jumps = append(t.Jumps, TunedJump{b.rig.Voices[j.Voice.Voice].Name, j.From, j.To, j.Cents, finite(j.Others), j.Apart(), j.Limit})
	}
	t.TurnedSaid = in.Turned != nil
	for _, voice := range in.Turned {
		t.Turned = append(t.Turned, b.rig.Voices[voice].Name)
	}
	if c := in.Study.Common; c.Voices > 0 {
		t.Common = &CommonDrift{c.Voices, c.Days, c.SD}
	}
	for _, v := range in.Study.Voices {
		t.Voices = append(t.Voices, b.voice(v))
		if budget := in.After.Map.Voices[v.Voice].Budget; budget != nil {
			worst := budget.Of(routing.Drift, routing.CommonDrift).Worst
			if t.DriftCents == nil || worst > *t.DriftCents {
				t.DriftCents = &worst
			}
		}
	}
	for _, c := range in.Study.Corrections() {
		t.Corrections = append(t.Corrections, b.rig.Voices[c.Voice].Name+": "+c.Text())
	}
	return t
}

// tuner makes the report.
type tuner struct {
	in  TuneInput
	rig *profiles.Rig
}

func (b *tuner) recordings() []Recording {
	out := []Recording{}
	for _, h := range b.in.Recordings {
		r := Recording{File: h.File}
		if h.Err != nil {
			r.Refused = optional(h.Err.Error())
		}
		if h.Reading.Hertz > 0 {
			p, volts := h.Pitch, float64(h.Reading.Volts)
			r.Voice, r.Volts, r.Key = &b.rig.Voices[h.Reading.Voice].Name, &volts, keyOf(h.Reading)
			hertz, period := float64(p.Hertz), float64(p.Autocorrelation)
			r.Hertz, r.Period, r.Confidence, r.WanderCents, r.Clipped = &hertz, &period, &p.Confidence, &p.Wander, p.Clipped
			r.Harmonics, r.JudgedS = &p.Harmonics, &p.Seconds
		}
		out = append(out, r)
	}
	return out
}

func keyOf(r tuning.Reading) *int {
	if !r.Keyed {
		return nil
	}
	key := int(r.Key)
	return &key
}

func (b *tuner) voice(v *tuning.Voice) TunedVoice {
	from := &b.rig.Voices[v.Voice]
	out := TunedVoice{Voice: v.Voice + 1, Name: from.Name, Bank: b.rig.Banks[from.Bank].Name, Measured: optional(v.Date),
		Readings: b.readings(v), Fit: fit(v), Before: inTune(v.Before), Budget: b.budget(v.Voice)}
	if v.Correction != nil {
		out.After, out.Correct = inTune(v.After), corrected(v.Correction)
	}
	out.Kept = v.ByHand && slices.ContainsFunc(b.rig.Corrections, func(c profiles.Correction) bool { return c.Voice == v.Voice })
	out.ByHand, out.Tracks, out.Unsaid = v.ByHand, v.Why != tuning.NotTracking, v.Why == tuning.ThroughUnsaid
	if len(v.Points) > 0 && out.Tracks {
		out.AtKey, out.Sharp = &v.Middle, &v.Sharp
	}
	if d := v.Drift; d.Days > 1 {
		out.Drift = &VoiceDrift{d.Days, d.First, d.Last, d.SD, d.Moved}
	}
	for i := range b.in.Study.Banks {
		bank := &b.in.Study.Banks[i]
		out.Z = scoreOf(v, bank.Voices, bank.Sharp, out.Z)
		out.StretchZ = scoreOf(v, bank.Stretched, bank.Stretch, out.StretchZ)
		out.Odd = out.Odd || slices.ContainsFunc(bank.Odd, func(o tuning.Odd) bool { return o.Voice == v })
	}
	return out
}

func scoreOf(v *tuning.Voice, voices []*tuning.Voice, s tuning.Scores, found *float64) *float64 {
	if i := slices.Index(voices, v); i >= 0 && i < len(s.Z) {
		return &s.Z[i]
	}
	return found
}

func (b *tuner) readings(v *tuning.Voice) []ReadVolts {
	out := make([]ReadVolts, len(v.Readings))
	for i, m := range v.Readings {
		out[i] = ReadVolts{At: fmt.Sprintf("%s:%d:%d", m.Pos.File, m.Pos.Line, m.Pos.Column), Date: optional(m.Date), Key: keyOf(m.Reading),
			Volts: float64(m.Volts), Hertz: float64(m.Hertz), WantHertz: float64(m.Want), SharpCents: m.Cents}
		out[i].OctavesOff = m.Octaves
		if v.Fitted && m.Used {
			out[i].ResidualCents = &v.Readings[i].Residual
		}
	}
	return out
}

func fit(v *tuning.Voice) *VoiceFit {
	if !v.Fitted {
		return nil
	}
	f := &VoiceFit{Unit: "cents", Intercept: v.Line.Intercept, Slope: v.Line.Slope, R2: v.Line.R2, ResidualCents: v.Residual, WorstCents: v.Worst,
		Piecewise: v.Piecewise, OffsetCents: v.Offset, DifferentVolts: len(v.Points), ReadingsFitted: v.Line.Count,
		LowestFitVolts: float64(v.Points[0].Volts), HighestFitVolts: float64(v.Points[len(v.Points)-1].Volts)}
	if v.Correction != nil {
		f.LimitCents = &v.Limit
	}
	if v.Box.Scale.HertzPerVolt() {
		f.Unit = "hz"
	} else {
		f.StretchPerOct = &v.Stretch
	}
	return f
}

func inTune(u tuning.Usable) *InTune {
	out := &InTune{WorstCents: u.Worst, Judged: u.Judged}
	if u.OK {
		low, high := int(u.Low), int(u.High)
		out.LowKey, out.HighKey = &low, &high
	}
	return out
}

func corrected(c *profiles.Correction) *Corrected {
	out := &Corrected{OffsetVolts: float64(c.Offset), Scale: c.Scale, Points: []CorrectPoint{},
		ResidualCents: (*float64)(c.Residual), DriftCents: (*float64)(c.Drift)}
	for _, p := range c.Points {
		out.Points = append(out.Points, CorrectPoint{float64(p.At), float64(p.Add)})
	}
	return out
}

// budget is how far a voice may stray; nil where no pitch reaches it.
func (b *tuner) budget(voice int) *BudgetShift {
	before, after := b.in.Before.Map.Voices[voice].Budget, b.in.After.Map.Voices[voice].Budget
	if before == nil || after == nil {
		return nil
	}
	return &BudgetShift{before.Worst(), after.Worst(), before.Likely(), after.Likely(), len(before.Unknown) > 0, before.Assumed(), after.Assumed(),
		after.Of(routing.Remains).Counted && after.Of(routing.Drift).Assumed}
}

func (b *tuner) banks() []TunedBank {
	out := []TunedBank{}
	for _, bank := range b.in.Study.Banks {
		t := TunedBank{Bank: b.rig.Banks[bank.Bank].Name, Voices: len(bank.Voices), MedianCents: bank.Sharp.Median,
			MADCents: bank.Sharp.MAD, Undetermined: bank.Sharp.Undetermined, Odd: []string{}, Apart: []Apart{}}
		for _, o := range bank.Odd {
			if name := b.rig.Voices[o.Voice.Voice].Name; !slices.Contains(t.Odd, name) {
				t.Odd = append(t.Odd, name)
			}
			t.Apart = append(t.Apart, Apart{b.rig.Voices[o.Voice.Voice].Name, o.Stretch, o.Cents, math.Abs(o.Z), o.Heard})
		}
		out = append(out, t)
	}
	return out
}

var turnReasons = [...]string{tuning.Apart: "apart", tuning.Stretched: "stretched", tuning.NoCorrection: "no-correction", tuning.BeyondRange: "beyond-range", tuning.StillOff: "off"}

var trimmers = [...]string{tuning.ScaleTrimmer: "scale", tuning.OffsetTrimmer: "offset", tuning.HighTrimmer: "high"}

func (b *tuner) turns(trims []tuning.Trim) []Turn {
	out := []Turn{}
	for i, t := range trims {
		turn := Turn{Order: i + 1, Voice: b.rig.Voices[t.Voice.Voice].Name, Trimmer: trimmers[t.Trimmer], Direction: "down", Cents: t.Cents,
			HoldVolts: float64(t.Volts), HoldKey: t.Pitch, FromHertz: float64(t.From), ToHertz: float64(t.To), Needed: t.Needed}
		if t.Up {
			turn.Direction = "up"
		}
		turn.Reason, turn.ReasonCents = optional(turnReasons[t.Why.Of]), t.Why.Cents
		if t.Why.Of == tuning.BeyondRange || t.Why.Of == tuning.StillOff {
			turn.ReasonKey = &trims[i].Why.Key
		}
		if t.Stretch != 0 {
			turn.StretchPerOct = &trims[i].Stretch
		}
		for _, bank := range b.in.Study.Banks {
			turn.Odd = turn.Odd || slices.ContainsFunc(bank.Odd, func(o tuning.Odd) bool { return o.Voice == t.Voice })
		}
		out = append(out, turn)
	}
	return out
}

func (b *tuner) unisons() []Detuning {
	out := []Detuning{}
	for _, e := range b.in.Study.Effects(b.in.After.Rig) {
		d := Detuning{Part: b.rig.Parts[e.Part].Name, Key: e.Key, Unmeasured: e.After.Unknown,
			Before: stackTuned(e.Before, e.Asked != nil), After: stackTuned(e.After, e.Asked != nil)}
		if e.Stack > 0 {
			d.Stack = &e.Stack
		}
		for _, voice := range e.Voices {
			d.Voices = append(d.Voices, b.rig.Voices[voice].Name)
		}
		if e.Asked != nil {
			d.AskedCents = floats(e.Asked)
		}
		out = append(out, d)
	}
	return out
}

func stackTuned(t tuning.Tuned, fixed bool) StackTuned {
	out := StackTuned{ApartCents: t.Worst}
	for i := range t.Errors {
		out.ErrorCents = append(out.ErrorCents, finite(t.Errors[i]))
	}
	if fixed && len(t.Errors)-t.Unknown > 1 {
		slowest := float64(t.Slowest)
		out.SpreadCents, out.SlowestHz = &t.Spread, &slowest
	}
	return out
}

func (b *tuner) moves() []VoltsMove {
	out := []VoltsMove{}
	for _, m := range b.in.Study.Moves(b.in.After.Rig) {
		out = append(out, VoltsMove{b.rig.Voices[m.Voice].Name, m.Key, float64(m.Before), float64(m.After)})
	}
	return out
}

func (b *tuner) figures() []FigureChange {
	out := []FigureChange{}
	for _, c := range routing.Changes(b.in.Before.Findings, b.in.After.Findings) {
		var f FigureChange
		for _, side := range []struct {
			from *routing.Finding
			to   **Finding
		}{{c.Before, &f.Before}, {c.After, &f.After}} {
			if side.from != nil {
				*side.to = &newFindings([]routing.Finding{*side.from})[0]
				f.Code, f.Where = string(side.from.Code), side.from.Where
			}
		}
		out = append(out, f)
	}
	return out
}
