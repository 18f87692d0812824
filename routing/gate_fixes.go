package routing

import (
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/circuit"
)

// What would make a gate open its input, each tried.

// sent is an output for gates as a rig would say it.
type sent struct {
	volts  profiles.Volts // of a gate; 0 for S-trig
	active profiles.Active
}

// trial is a way of a gate by itself, from its jack to one of its inputs.
type trial struct {
	parts []circuit.Part // without the jack, the input last
	load  []profiles.Ohms
	r     profiles.Ohms // behind the jack
}

// trial takes the way from a net to an input out of the map, with what else hangs on the
// jack.
func (m *Map) trial(n *Net, in Input) trial {
	t := trial{parts: m.way(n, in), r: n.Load.Source}
	t.parts = append(t.parts, *m.graph.Part(m.ends[in]))
	own := false // what hangs on the jack itself has the way's first part with an input among it
	for _, r := range n.Load.Inputs {
		if first := t.first(); !own && first != nil && r == first.In {
			own = true
			continue
		}
		t.load = append(t.load, r)
	}
	return t
}

// first is the part of the way that hangs on the jack.
func (t *trial) first() *circuit.Part {
	for i := range t.parts {
		if t.parts[i].In > 0 {
			return &t.parts[i]
		}
	}
	return nil
}

// play sends a gate along the way, with a key down and without.
func (t *trial) play(s sent) gated {
	g := &circuit.Graph{}
	out := circuit.Output(t.r)
	if s.active == profiles.Closed {
		out = circuit.Short()
	}
	way := []int{g.Add(out)}
	for _, r := range t.load {
		g.Wire(way[0], g.Add(circuit.Input(r)))
	}
	for _, p := range t.parts {
		at := g.Add(p)
		g.Wire(way[len(way)-1], at)
		way = append(way, at)
	}
	return playGate(g, way, func(down bool) { press(g, way[0], s, down) })
}

// with is the way with a part more, directly behind the jack, which then alone hangs on
// it.
func (t *trial) with(p circuit.Part) *trial {
	return &trial{parts: append([]circuit.Part{p}, t.parts...), r: t.r}
}

// withoutNormals is the way with normals that add nothing, which added so many volts.
func (t *trial) withoutNormals() (quiet *trial, adds profiles.Volts) {
	quiet = &trial{parts: slices.Clone(t.parts), load: t.load, r: t.r}
	for i := range quiet.parts {
		if quiet.parts[i].GainError > 0 { // a module that adds
			continue
		}
		adds += quiet.parts[i].Offset
		quiet.parts[i].Offset = 0
	}
	return quiet, adds
}

// fixes are those of a gate that does not open its input, or only just, that would do.
func (m *Map) gateFixes(n *Net, in Input) (facts []Fact) {
	f := &m.Rig.Interfaces[n.Interface]
	t, now := m.trial(n, in), sent{f.Gate.Volts, f.Active}
	opens := func(t *trial, s sent) bool { g := t.play(s); return g.fault() == fine }
	if f.Active != profiles.Closed {
		most := profiles.Volts(20)
		if f.Link == profiles.Audio {
			most = min(most, f.FullVolts())
		}
		for tenths := math.Floor(float64(10*now.volts)) + 1; tenths <= float64(10*most)+1e-9; tenths++ {
			if volts := profiles.Volts(tenths / 10); opens(&t, sent{volts, now.active}) {
				facts = append(facts, Number("raise", volts, "V"))
				break
			}
		}
		if len(t.load) > 0 && opens(&trial{parts: t.parts, r: t.r}, now) {
			facts = append(facts, Named("fewer", f.Name))
		}
		if b := t.with(circuit.Buffer(0)); t.r > 0 && !n.normalled() && opens(b, now) {
			facts = append(facts, Named("buffered", f.Name))
		}
	}
	if quiet, adds := t.withoutNormals(); adds > 0 {
		if g := quiet.play(now); g.fault() != GatePolarity {
			return append(facts, Number("normal", adds, "V"))
		}
	}
	for _, c := range []struct {
		does profiles.Does
		part circuit.Part
	}{{profiles.DoesToShort, circuit.ToShort()}, {profiles.DoesInvert, circuit.Inverter()}, {profiles.DoesFromShort, circuit.FromShort()}} {
		if opens(t.with(c.part), now) {
			return append(facts, Named("module", c.does.String()))
		}
	}
	return facts
}
