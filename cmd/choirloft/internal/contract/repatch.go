package contract

import (
	"strconv"

	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/setups"
)

// NewRepatch returns the way from one set-up of a plan's rig to another, by
// their indexes.
func NewRepatch(p *plan.Plan, from, to int) *Repatch {
	a, b := setups.New(p.Map, from), setups.New(p.Map, to)
	c := setups.Between(a, b)
	pulls, plugs := c.Names()
	rig := p.Rig
	r := &Repatch{Version: Version, Rig: rig.Name, Fingerprint: p.Code(), From: rig.SetUps[from].Name, To: rig.SetUps[to].Name,
		Moves: c.Moves(), Pulls: repatchCables(c.Pulls, pulls), Plugs: repatchCables(c.Plugs, plugs), Stay: c.Stay, Switches: []Switch{}, Rests: []Rest{}, Ways: []Way{},
		Breaks: voiceNames(rig, c.Breaks), Closes: voiceNames(rig, c.Closes), Silent: voiceNames(rig, c.Silent),
		Needs: Needs{setups.Multiples(a, b), len(setups.Ors(rig, from, to))}, Outs: setups.Outs(a, b), Fetched: c.Fetched(), GateOrs: gateOrs(rig), Findings: newFindings(b.Findings()), MiddleC: int(rig.MiddleC)}
	for _, s := range c.Switches {
		r.Switches = append(r.Switches, Switch{rig.Banks[s.Bank].Name, map[bool]string{true: "common", false: "own"}[s.Common]})
	}
	for _, x := range b.Rests {
		r.Rests = append(r.Rests, newRest(x))
	}
	for _, o := range setups.Ways(p.Map, from, to) {
		r.Ways = append(r.Ways, newWay(o))
	}
	return r
}

// gateOrs names the banks behind a gate-OR: in line in all set-ups, once one has them.
func gateOrs(rig *profiles.Rig) []string {
	var all []int
	for at := range rig.SetUps {
		all = append(all, at)
	}
	names := []string{}
	for _, bank := range setups.Ors(rig, all...) {
		names = append(names, rig.Banks[bank].Name)
	}
	return names
}

func repatchCables(from []setups.Cable, names []string) []RepatchCable {
	all := make([]RepatchCable, len(from))
	for i, c := range from {
		all[i] = RepatchCable{c.From.Panel, c.From.Name, c.To.Panel, c.To.Name, names[i]}
	}
	return all
}

func voiceNames(rig *profiles.Rig, voices []int) []string {
	names := []string{}
	for _, v := range voices {
		names = append(names, rig.Voices[v].Name)
	}
	return names
}

func newRest(x setups.Rest) Rest {
	r := Rest{Panel: x.Jack.Panel, Jack: x.Jack.Name, Inputs: x.Inputs, Gate: x.Gate}
	if !x.Gate {
		r.Volts = new(float64)
	}
	if x.Key != nil {
		key := int(*x.Key)
		r.Key = &key
	}
	return r
}

func newWay(o setups.Option) Way {
	w := Way{Pitches: o.Pitches.String(), Gates: o.Gates.String(), Through: o.Through.String(), Written: o.Written, Moves: o.Change.Moves(),
		Pulls: len(o.Change.Pulls), Plugs: len(o.Change.Plugs), Switches: len(o.Change.Switches), Needs: Needs{o.Multiples, o.Ors},
		Rests: o.Rests, BendCents: o.Bend}
	if o.Outs > 0 {
		w.Through += " " + strconv.Itoa(o.Outs)
	}
	return w
}
