package contract

import (
	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// NewMap returns the channel map of a plan.
func NewMap(p *plan.Plan) *Map {
	b := mapper{p.Rig, p.Map, map[string]float64{}}
	m := &Map{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), Findings: newFindings(p.Findings),
		MiddleC: int(p.Rig.MiddleC), Interfaces: newInterfaces(p.Rig), GateOrs: gateOrs(p.Rig), Missing: []string{}, Steps: []Step{}, Bought: newPurchase(p.Bought, nil)}
	for i := range b.m.Voices {
		m.Voices = append(m.Voices, b.voice(i, p.Rules.Config.Voices[i].State))
	}
	m.Lanes, m.Macros = b.lanes(b.m.Shared), b.lanes(b.m.Macros)
	m.Paths, m.Spare = b.paths(), b.spare()
	m.cables(b.m)
	m.Unisons, m.Growth, m.RestsOn = b.unisons(), newGrowth(p.Map), b.pitchBasis()
	for _, l := range b.m.Missing {
		m.Missing = append(m.Missing, l.Name)
	}
	for _, s := range b.m.Steps {
		m.Steps = append(m.Steps, Step{s.Text, s.CVs, s.Gates, s.Either})
	}
	return m
}

// mostSetUps is up to how many set-ups a sheet has the ways between any two of
// them; with more it has those from and to the first.
const mostSetUps = 3

// NewSheet returns the map of a plan, and the ways between the set-ups of its rig
// that belong on its sheet.
func NewSheet(p *plan.Plan) *Sheet {
	s := &Sheet{Map: NewMap(p), Changes: []*Repatch{}}
	n := len(p.Rig.SetUps)
	for from := range n {
		for to := range n {
			if from != to && (n <= mostSetUps || from == 0 || to == 0) {
				s.Changes = append(s.Changes, NewRepatch(p, from, to))
			}
		}
	}
	return s
}

// mapper makes a report of a map.
type mapper struct {
	rig  *profiles.Rig
	m    *routing.Map
	sums map[string]float64 // what is likely, by terms
}

func (b mapper) voice(i int, state alloc.VoiceState) MapVoice {
	from, v := &b.rig.Voices[i], &b.m.Voices[i]
	out := MapVoice{Voice: i + 1, Name: from.Name, Bank: b.rig.Banks[from.Bank].Name, Position: from.Position,
		State: stateNames[state], LowKey: int(from.Keys.Low), HighKey: int(from.Keys.High),
		Lanes: []MapLane{}, VoltsAt: VoltsAt(v.Keys), Seats: []Seat{}, Budget: b.budget(v.Budget)}
	if spare, other, ok := b.rig.Replaced(from.Bank); ok && spare == i {
		out.StandsInFor = &b.rig.Voices[other].Name
	}
	for j := range v.Lanes {
		switch l := &v.Lanes[j]; {
		case !l.Fits():
		case l.Input == "pitch":
			out.Pitch = b.jack(&l.Outlet)
			out.ZeroKey = b.zeroKey(l.Interface)
		case l.Input == "gate":
			out.Gate = b.jack(&l.Outlet)
		default:
			out.Lanes = append(out.Lanes, b.lane(l))
		}
	}
	for _, s := range v.Seats {
		out.Seats = append(out.Seats, b.seat(s))
	}
	if len(out.Seats) > 0 {
		first := &out.Seats[0]
		out.Part, out.Unison, out.DetuneCents, out.Pan = &first.Part, &first.Unison, first.DetuneCents, first.Pan
	}
	return out
}

func (b mapper) zeroKey(box int) *int {
	f := &b.rig.Interfaces[box]
	if f.Scale.HertzPerVolt() {
		return nil
	}
	return &f.ZeroKey
}

func (b mapper) seat(s routing.Seat) Seat {
	out := Seat{Part: b.rig.Parts[s.Part].Name, Unison: Stack{Of: s.Of}}
	out.Idle = s.Of > 1 && !s.Fixed && s.Stack == 0 && b.rig.Parts[s.Part].Unison.Short == profiles.Blocks
	if s.Stack > 0 {
		out.Unison.Stack = &s.Stack
	}
	if s.Position > 0 {
		out.Unison.Position = &s.Position
	}
	if s.Fixed {
		cents, pan := float64(s.Detune), float64(s.Pan)
		out.DetuneCents, out.Pan = &cents, &pan
	}
	return out
}

func (b mapper) jack(o *routing.Outlet) *Jack {
	f := &b.rig.Interfaces[o.Interface]
	j := &Jack{Jack: o.Jack, Kind: jackKind(o.GateJack, f.Outputs > 0), Connector: o.Connector, Place: o.Place,
		Interface: f.Name, Pinned: o.Pinned, Message: optional(o.Message)}
	if o.Addressed {
		port, channel := int(o.Port)+1, int(o.Channel)+1
		j.Port, j.Channel = &port, &channel
	}
	return j
}

func jackKind(gate, either bool) string {
	switch {
	case either:
		return "output"
	case gate:
		return "gate"
	}
	return "cv"
}

// lanes lists those that have a jack.
func (b mapper) lanes(from []routing.Lane) []MapLane {
	out := []MapLane{}
	for i := range from {
		if from[i].Fits() {
			out = append(out, b.lane(&from[i]))
		}
	}
	return out
}

func (b mapper) lane(l *routing.Lane) MapLane {
	out := MapLane{Name: l.Name, Input: optional(l.Input), To: b.targets(l), Jack: *b.jack(&l.Outlet)}
	if l.Bank >= 0 {
		out.Bank = &b.rig.Banks[l.Bank].Name
	}
	return out
}

// targets names what a lane moves, as a rig file would.
func (b mapper) targets(l *routing.Lane) []string {
	var to []profiles.Target
	switch {
	case l.Macro >= 0:
		to = b.rig.Macros[l.Macro].To
	case l.Bank < 0:
		to = b.rig.Wiring[l.Wire].To
	default:
		return []string{l.Name}
	}
	names := make([]string, len(to))
	for i, t := range to {
		names[i] = b.rig.Banks[t.Bank].Name + "." + t.Input
		if t.Voice >= 0 {
			names[i] = b.rig.Voices[t.Voice].Name + "." + t.Input
		}
	}
	return names
}

func (b mapper) spare() Spare {
	s := Spare{Jacks: []SpareJacks{}}
	s.CV, s.Gates, s.Either = b.m.SpareCount()
	for _, x := range b.m.Spare {
		s.Jacks = append(s.Jacks, SpareJacks{b.rig.Interfaces[x.Interface].Name, jackKind(x.Gates, x.Either), x.Jacks})
	}
	return s
}
