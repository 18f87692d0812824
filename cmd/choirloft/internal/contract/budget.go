package contract

import (
	"choirloft/routing"
)

// Budget is how far the pitch of a voice may stray, by cause, in cents.
type Budget struct {
	Step        Stray   `json:"step"`
	Loading     Stray   `json:"loading"`
	Buffers     Stray   `json:"buffers"`
	Calibration Stray   `json:"calibration"`
	Drift       Stray   `json:"drift"`
	WorstCents  float64 `json:"worst_cents"`
	RMSCents    float64 `json:"rms_cents"`
	Assumed     bool    `json:"assumed"`
}

// Stray is what one cause does, either way.
type Stray struct {
	WorstCents float64 `json:"worst_cents"`
	SigmaCents float64 `json:"sigma_cents"`
	Assumed    bool    `json:"assumed"`
}

func newBudget(b *routing.Budget) *Budget {
	if b == nil {
		return nil
	}
	stray := func(s routing.Stray) Stray { return Stray{float64(s.Worst), float64(s.Sigma), s.Assumed} }
	return &Budget{Step: stray(b.Step), Loading: stray(b.Loading), Buffers: stray(b.Buffers), Calibration: stray(b.Calibration),
		Drift: stray(b.Drift), WorstCents: float64(b.Worst()), RMSCents: float64(b.RMS()), Assumed: b.Assumed()}
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
}

func (b mapper) paths() []Path {
	out := []Path{}
	for i := range b.m.Nets {
		n := &b.m.Nets[i]
		f := &b.rig.Interfaces[n.Interface]
		p := Path{Jack: n.Jack, Kind: jackKind(n.GateJack, f.Outputs > 0), Interface: f.Name, Lanes: n.Lanes,
			SourceOhm: float64(n.Load.Source), Inputs: len(n.Load.Inputs), Calibrated: n.Calibrated,
			GainPercent: 100 * n.Load.Gain(), BendCents: b.m.Bend(n), PerOctave: !f.Scale.HertzPerVolt(), Assumed: n.Assumed}
		for _, branch := range n.Branches {
			p.Branches = append(p.Branches, b.branch(&branch))
		}
		out = append(out, p)
	}
	return out
}

func (b mapper) branch(from *routing.Branch) Branch {
	out := Branch{Through: from.Through.String(), Via: []string{}, Multiples: []int{}}
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
