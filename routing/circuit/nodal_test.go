package circuit

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"choirloft/profiles"
)

// drawn draws a tree of nodes and linears, each behind an earlier part, and loads;
// adders have two inputs.
func drawn(t *rapid.T) *Graph {
	g := &Graph{}
	ohms := rapid.Float64Range(1, 1e5)
	for range rapid.IntRange(1, 3).Draw(t, "outputs") {
		g.Set(g.Add(Output(profiles.Ohms(ohms.Draw(t, "out")))), profiles.Volts(rapid.Float64Range(-10, 10).Draw(t, "volts")))
	}
	for range rapid.IntRange(1, 12).Draw(t, "parts") {
		before := len(g.parts)
		from := rapid.IntRange(0, before-1).Draw(t, "from")
		if rapid.Bool().Draw(t, "node") {
			g.Wire(from, g.Add(Part{Kind: Node}))
			continue
		}
		at := g.Add(Part{Kind: Linear, In: profiles.Ohms(rapid.Float64Range(1e3, 1e6).Draw(t, "in")), Out: profiles.Ohms(ohms.Draw(t, "out")),
			Gain: rapid.Float64Range(-2, 2).Draw(t, "gain"), Offset: profiles.Volts(rapid.Float64Range(-1, 1).Draw(t, "offset"))})
		g.Wire(from, at)
		if rapid.Bool().Draw(t, "adds") {
			g.Wire(rapid.IntRange(0, before-1).Draw(t, "and"), at)
		}
	}
	return g
}

// nodal solves the circuit by nodal analysis, G·v = i, with an equation for each part's
// output: Kirchhoff's current law, its source behind Out and an input of each linear
// that is wired to it as conductances, and a node as a milliohm to what leads to it.
func nodal(g *Graph) []float64 {
	n := len(g.parts)
	a, i := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	add := func(row, column int, siemens float64) { a.Set(row, column, a.At(row, column)+siemens) }
	for at, p := range g.parts {
		if p.Kind == Node {
			from := g.ins[at][0]
			add(at, at, 1e3)
			add(from, from, 1e3)
			add(at, from, -1e3)
			add(from, at, -1e3)
			continue
		}
		add(at, at, 1/float64(p.Out))
		i.SetVec(at, float64(p.Offset)/float64(p.Out))
		for _, from := range g.ins[at] {
			add(at, from, -p.Gain/float64(p.Out))
			add(from, from, 1/float64(p.In))
		}
	}
	var v mat.VecDense
	if err := v.SolveVec(a, i); err != nil {
		panic(err)
	}
	return v.RawVector().Data
}

// gonum/mat (v0.17.0) gives the same volts on every net of small circuits. The milliohm of
// nodes changes less than 1e-3/1e3 of what the loads take, times the gains that follow.
func TestAgainstNodalAnalysis(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawn(t)
		want := nodal(g)
		for at := range g.parts {
			if p := &g.parts[at]; p.Kind == Linear && len(g.ins[at]) > 0 {
				from := g.ins[at][0]
				scale := 1.0
				for _, v := range want {
					scale = max(scale, v, -v)
				}
				require.InDelta(t, want[from], float64(g.Volts(at)), 1e-4*scale)
			}
		}
	})
}
