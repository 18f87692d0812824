// Package growth says what ends first when a rack grows bank by bank: jacks,
// gates, MIDI channels, outputs of multiples, inputs of mixers, current, width.
// Most users need one call: [New], or [Like].
//
// A further bank is like the last one of the rig, or another: its voices with their
// inputs, its lanes, its width and its current, and on wires that its like shares with
// other banks ([Further]). Jacks and channels are tried with the
// packer of the map; the rest are sums. What the rig does not say is not
// guessed, and said to be unknown.
package growth

import (
	"cmp"
	"fmt"
	"slices"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
)

// Resource is something that a further bank takes.
type Resource uint8

// The resources.
const (
	CVs Resource = iota
	Gates
	Outputs // that give a CV or a gate
	Channels
	Multiples
	MixerInputs
	Current
	Width
	Voices // that a rig may have; no limit of [Growth], nor is
	Check  // what check says of the rig with it
	Volts  // CV jacks that give the volts for a key that those of the like give
)

var names = [...]string{CVs: "CV jacks", Gates: "gate jacks", Outputs: "jacks", Channels: "MIDI channels", Multiples: "outputs of multiples",
	MixerInputs: "mixer inputs", Current: "current", Width: "width", Voices: "voices", Check: "check",
	Volts: "CV jacks of the same volts"}

// String names the resource.
func (r Resource) String() string { return names[r] }

// Limit is how far one resource goes.
type Limit struct {
	Resource Resource
	Banks    int // further ones that it is enough for, up to Most
	// Unknown: the rig does not say enough of it; Needs is what it would have to.
	Unknown bool
	Needs   string
	Basis   string // what it rests on, in words
	// Free is what is left of it, and Takes what a bank takes, in Unit: of currents those
	// of the rail that ends first on the supply with the most room.
	Free, Takes float64
	Unit        string // mA or HP; empty for things that are counted
}

// Most is how many further banks are tried.
const Most = 64

// Growth is what is left for further banks.
type Growth struct {
	Like   int     // index into Rig.Banks: the last one, unless another was asked for
	Limits []Limit // known ones first, by banks, then in the order of resources
	// Steps are ways down with which a bank more than the jacks are enough for
	// would fit, each tried; none where the jacks are enough for all that are.
	Steps []routing.Step
}

// First are the known limits that end first; none where nothing is known.
func (g *Growth) First() (all []Limit) {
	for _, l := range g.Limits {
		if !l.Unknown && l.Banks == g.Limits[0].Banks {
			all = append(all, l)
		}
	}
	return all
}

// New says what is left for further banks. The map is that of the rig.
func New(m *routing.Map) *Growth { return Like(m, len(m.Rig.Banks)-1) }

// Like is [New] for banks like the one at an index.
func Like(m *routing.Map, like int) *Growth {
	g := &grower{m: m, rig: m.Rig, like: like}
	all := append(g.jacks(), g.channels(), g.multiples(), g.mixers(), g.current(), g.width())
	slices.SortStableFunc(all, func(a, b Limit) int {
		return cmp.Or(cmp.Compare(unknown(a), unknown(b)), cmp.Compare(a.Banks, b.Banks))
	})
	return &Growth{g.like, all, g.steps(all)}
}

// Mixers is the limit of inputs of mixers, for banks like the one at an index. It packs nothing.
func Mixers(m *routing.Map, like int) Limit {
	g := &grower{m: m, rig: m.Rig, like: like}
	return g.mixers()
}

// steps tries what there is to try with a bank more than fits.
func (g *grower) steps(limits []Limit) []routing.Step {
	fits := Most
	for _, l := range limits {
		if l.Resource <= Outputs && !l.Unknown {
			fits = min(fits, l.Banks)
		}
	}
	if fits >= g.highest() || len(g.rig.Interfaces) == 0 {
		return nil
	}
	return routing.Steps(g.grown(g.rig, fits+1))
}

// highest is how many further banks may be tried.
func (g *grower) highest() int {
	return min(Most, (mostVoices-len(g.rig.Voices))/g.bank().Size)
}

// mostVoices is the most that a rig may have.
const mostVoices = 4096

func unknown(l Limit) int {
	if l.Unknown {
		return 1
	}
	return 0
}

// grower works limits out.
type grower struct {
	m    *routing.Map
	rig  *profiles.Rig
	like int
}

func (g *grower) bank() *profiles.Bank { return &g.rig.Banks[g.like] }

// grown is a rig with so many banks more.
func (g *grower) grown(rig *profiles.Rig, banks int) *profiles.Rig {
	for range banks {
		rig, _ = Further(rig, g.like, nil)
	}
	return rig
}

// most is the largest number of further banks, up to Most, with which a rig lacks nothing that
// it does not lack already. More never lacks less, so it tries 1, 2, 4 and so on, and then
// between the last that do and the first that do not: most racks have room for few.
func (g *grower) most(rig *profiles.Rig, lacks func(routing.Short) int) int {
	now := lacks(routing.Lacks(rig))
	low, high, fits := 0, g.highest()+1, rig // fits has low banks more
	for high-low > 1 {
		try := (low + high) / 2
		if high > g.highest() {
			try = min(max(1, 2*low), g.highest())
		}
		if more := g.grown(fits, try-low); lacks(routing.Lacks(more)) > now {
			high = try
		} else {
			low, fits = try, more
		}
	}
	return low
}

// jacks tries the jacks of each kind, with as many of the other as are wanted.
func (g *grower) jacks() []Limit {
	if len(g.rig.Interfaces) == 0 {
		return []Limit{{Resource: CVs, Unknown: true, Needs: "interfaces"}}
	}
	jacks := func(s routing.Short) int { return s.Jacks }
	cvs, gates, either := g.m.SpareCount()
	lanes := g.lanes()
	inputs := g.rig.Kinds[g.bank().Kind].Inputs
	gateInputs := 0
	if slices.Contains(inputs, "gate") {
		gateInputs = 1
	}
	takesCVs, takesGates := g.bank().Size*(len(inputs)-gateInputs)+lanes, g.bank().Size*gateInputs
	if slices.ContainsFunc(g.rig.Interfaces, func(f profiles.Interface) bool { return f.Outputs > 0 }) {
		return []Limit{{Resource: Outputs, Banks: g.most(g.rig, jacks), Basis: fmt.Sprintf("%d CVs, %d gates and %d that give either are free", cvs, gates, either),
			Free: float64(cvs + gates + either), Takes: float64(takesCVs + takesGates)}}
	}
	of := func(r Resource, gates bool, free, takes int) Limit {
		return Limit{Resource: r, Banks: g.most(g.plenty(gates), jacks), Basis: fmt.Sprintf("%d free, a bank takes %d", free, takes), Free: float64(free), Takes: float64(takes)}
	}
	return []Limit{of(CVs, false, cvs, takesCVs), of(Gates, true, gates, takesGates)}
}

// lanes is how many controls of a further bank take a jack of their own.
func (g *grower) lanes() (n int) {
	rig, _ := Further(g.rig, g.like, nil)
	fresh := len(rig.Banks) - 1
	for _, input := range g.bank().Lanes {
		joined := func(w profiles.Wire) bool {
			return slices.ContainsFunc(w.To, func(t profiles.Target) bool { return t.Bank == fresh && t.Voice < 0 && t.Input == input })
		}
		if !slices.ContainsFunc(rig.Wiring, joined) {
			n++
		}
	}
	return n
}

// plenty is the rig with more CVs than can be wanted, where gates are asked
// about, or else more gates.
func (g *grower) plenty(gates bool) *profiles.Rig {
	rig := *g.rig
	rig.Interfaces = slices.Clone(g.rig.Interfaces)
	for i := range rig.Interfaces {
		f := &rig.Interfaces[i]
		if gates {
			f.CV += enough(g)
		} else {
			f.Gates += enough(g)
		}
	}
	return &rig
}

// enough is more jacks than all banks tried can want.
func enough(g *grower) int {
	return Most * (g.bank().Size*len(g.rig.Kinds[g.bank().Kind].Inputs) + len(g.bank().Lanes))
}

// channels counts those of MIDI that no voice has yet, on all ports.
func (g *grower) channels() Limit {
	l := Limit{Resource: Channels}
	all, ports, used := 0, 0, 0
	for i := range g.rig.Interfaces {
		if f := &g.rig.Interfaces[i]; f.Link != profiles.Audio {
			all, ports = all+16*f.Ports, ports+f.Ports
		}
	}
	if all == 0 {
		l.Unknown, l.Needs = true, "an interface for MIDI"
		return l
	}
	for i := range g.m.Voices {
		if at := g.m.Voices[i].Interface; at >= 0 && g.rig.Interfaces[at].Link != profiles.Audio {
			used++
		}
	}
	l.Banks = min(Most, max(0, all-used)/g.bank().Size)
	l.Free, l.Takes = float64(max(0, all-used)), float64(g.bank().Size)
	l.Basis = fmt.Sprintf("%d of %d on %s have a voice, a bank takes %d", used, all, unit.Count(ports, "port"), g.bank().Size)
	return l
}
