package contract

import (
	"fmt"

	"choirloft/routing"
)

// Budget is how far the pitch of a voice may stray, by cause, in cents, at the key
// that it plays where that is furthest.
type Budget struct {
	AtKey       int    `json:"at_key"`
	Step        Stray  `json:"step"`
	Interface   Stray  `json:"interface"` // its gain, offset, non-linearity and settling
	Loading     Stray  `json:"loading"`
	Normal      Stray  `json:"normal"` // what that of its pitch input adds
	Buffers     Stray  `json:"buffers"`
	Tracking    Stray  `json:"tracking"` // and temperature
	Calibration Stray  `json:"calibration"`
	Clamping    Stray  `json:"clamping"`
	Drift       Stray  `json:"drift"`
	Terms       []Term `json:"terms"`
	// LikelyCents is what 95 % of the errors stay within, WorstCents what 99.9 % do.
	// They and RMSCents are null where Unknown has a term: of it nothing can be assumed.
	LikelyCents *float64 `json:"likely_cents"`
	WorstCents  *float64 `json:"worst_cents"`
	RMSCents    *float64 `json:"rms_cents"`
	Assumed     bool     `json:"assumed"`
	Unknown     []Term   `json:"unknown"`
}

// Term is what one cause does to the pitch of a voice at a key.
type Term struct {
	Term string `json:"term"`
	// Cents is a shift with its sign, a limit either way, a standard deviation, or what
	// a fit leaves; Law says which: shift, limit, deviation, fit.
	Cents   float64 `json:"cents"`
	Law     string  `json:"law"`
	Degrees *int    `json:"degrees"` // of freedom of a fit; null else
	Basis   string  `json:"basis"`   // given, measured, assumed
	Source  string  `json:"source"`  // the key of the rig that says it, or would
}

func newTerms(from []routing.Term) []Term {
	out := []Term{}
	for _, t := range from {
		term := Term{Term: t.Cause.String(), Cents: t.Size, Law: t.Law.String(), Basis: t.Basis.String(), Source: t.Source}
		if t.Free > 0 {
			term.Degrees = new(t.Free)
		}
		out = append(out, term)
	}
	return out
}

// Stray is what one cause does, either way.
type Stray struct {
	WorstCents float64 `json:"worst_cents"`
	SigmaCents float64 `json:"sigma_cents"`
	Assumed    bool    `json:"assumed"`
}

func (b mapper) budget(from *routing.Budget) *Budget {
	if from == nil {
		return nil
	}
	stray := func(causes ...routing.Cause) Stray {
		s := from.Of(causes...)
		return Stray{s.Worst, s.Sigma, s.Assumed}
	}
	out := &Budget{AtKey: from.Key, Assumed: from.Assumed(), Terms: newTerms(from.Terms), Unknown: newTerms(from.Unknown)}
	for i, to := range []*Stray{&out.Step, &out.Interface, &out.Loading, &out.Normal, &out.Buffers, &out.Tracking, &out.Calibration, &out.Clamping, &out.Drift} {
		*to = stray(causesOf[i]...)
	}
	if len(from.Unknown) == 0 {
		worst, rms := from.Worst(), from.RMS()
		out.LikelyCents, out.WorstCents, out.RMSCents = new(b.likely(from)), &worst, &rms
	}
	return out
}

// causesOf are the causes that a budget adds up, in its order.
var causesOf = [...][]routing.Cause{{routing.Rounding}, {routing.Gain, routing.Zero, routing.Bow, routing.Settling}, {routing.Loading}, {routing.Added},
	{routing.Scaled, routing.BufferGain, routing.BufferOffset}, {routing.Tracking, routing.Temperature}, {routing.Remains}, {routing.Clamping}, {routing.Drift, routing.CommonDrift}}

// likely works out each sum once: most voices of a rig are alike.
func (b mapper) likely(from *routing.Budget) float64 {
	key := fmt.Sprint(from.Terms)
	if _, ok := b.sums[key]; !ok {
		b.sums[key] = from.Likely()
	}
	return b.sums[key]
}

// Path is what hangs on one jack.
type Path struct {
	Jack        int      `json:"jack"`
	Kind        string   `json:"kind"`
	Interface   string   `json:"interface"`
	Lanes       []string `json:"lanes"`
	Branches    []Branch `json:"branches"`
	SourceOhm   float64  `json:"source_ohm"`
	Inputs      int      `json:"inputs"`       // that hang on the jack itself
	Calibrated  int      `json:"calibrated"`   // that did when it was calibrated
	GainPercent float64  `json:"gain_percent"` // of the volts, that reaches them
	BendCents   float64  `json:"bend_cents"`   // of pitch, by the change of load since
	PerOctave   bool     `json:"per_octave"`   // BendCents are; false with hertz per volt
	Assumed     bool     `json:"assumed"`
}

// Branch is one way from a jack to some inputs.
type Branch struct {
	Through   string   `json:"through"`
	Via       []string `json:"via"`       // modules of the rig, from the jack on
	Multiples []int    `json:"multiples"` // buffered ones, level by level from the jack
	Least     *int     `json:"least"`     // of them, if their depths may differ
	Inputs    []string `json:"inputs"`
	Normal    string   `json:"normal"` // full, half: behind the panels, without a cable; none
}

func (b mapper) paths() []Path {
	out := []Path{}
	for i := range b.m.Nets {
		n := &b.m.Nets[i]
		f := &b.rig.Interfaces[n.Interface]
		p := Path{Jack: n.Jack, Kind: jackKind(n.GateJack, f.Outputs > 0), Interface: f.Name, Lanes: n.Lanes,
			SourceOhm: float64(n.Load.Source), Inputs: len(n.Load.Inputs), Calibrated: n.Calibrated,
			GainPercent: 100 * n.Load.Gain(), BendCents: b.m.Bend(n), PerOctave: !f.Scale.HertzPerVolt(), Assumed: n.Load.Assumed}
		for _, branch := range n.Branches {
			p.Branches = append(p.Branches, b.branch(&branch))
		}
		out = append(out, p)
	}
	return out
}

func (b mapper) branch(from *routing.Branch) Branch {
	out := Branch{Through: from.Through.String(), Normal: from.Normal.String(), Via: []string{}, Multiples: []int{}}
	for _, at := range b.rig.Way(from.Via) {
		out.Via = append(out.Via, b.rig.Gear[at].Name)
	}
	if from.Tree.Outs > 0 {
		least := from.Tree.Least()
		out.Multiples, out.Least = from.Tree.Levels, &least
	}
	for _, i := range from.Inputs {
		out.Inputs = append(out.Inputs, i.Name(b.rig))
	}
	return out
}
