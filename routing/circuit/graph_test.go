package circuit

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
)

// chain wires parts one behind the other.
func chain(parts ...Part) *Graph {
	g := &Graph{}
	for i, p := range parts {
		g.Add(p)
		if i > 0 {
			g.Wire(i-1, i)
		}
	}
	return g
}

// volts sends some from the first part, and gives what the last has at its input.
func (g *Graph) volts(sent float64) float64 {
	g.Set(0, profiles.Volts(sent))
	return float64(g.Volts(len(g.parts) - 1))
}

// Each kind with its sum written out.
func TestWorkedSums(t *testing.T) {
	for _, c := range []struct {
		name       string
		g          *Graph
		sent, want float64
	}{
		{"two passive multiples in a row are one: 3 V · 100/(1 + 100)", chain(Output(1000), Part{}, Part{}, Input(100_000)), 3, 300.0 / 101},
		{"two buffered ones: the first alone loads the jack", chain(Output(1000), Buffer(4), Buffer(4), Input(1000)), 3, 300.0 / 101},
		{"a 100 kΩ pot at half, 25 kΩ behind it, into 100 kΩ: 0.5·100/125 = 0.40", chain(Output(0), Part{Kind: Linear, In: 100_000, Gain: 0.5, Out: 25_000}, Input(100_000)), 1, 0.4},
		{"an inverter with an offset: 1 V − 0.5·4 V", chain(Output(0), Part{Kind: Linear, In: 100_000, Gain: -0.5, Offset: 1}, Input(100_000)), 4, -1},
		{"a gate-OR: 5 V − 0.7 V", chain(Output(0), Or(), Input(100_000)), 5, 4.3},
		{"two gate-ORs: 5 V − 1.4 V", chain(Output(0), Or(), Or(), Input(100_000)), 5, 3.6},
		{"and never below nothing: 1 V − 1.4 V", chain(Output(0), Or(), Or(), Input(100_000)), 1, 0},
		{"a gate inverter at rest", chain(Output(0), Inverter(), Input(100_000)), 0, 5},
		{"and while the gate is high", chain(Output(0), Inverter(), Input(100_000)), 5, 0},
		{"a switch that is open: its input has nothing", chain(Output(0), Part{Kind: Switch}, Input(100_000)), 5, 0},
		{"and closed, as a node: 5 V · 100/101", chain(Output(1000), Part{Kind: Switch, Closed: true}, Input(100_000)), 5, 500.0 / 101},
		{"volts into an input for contacts: (5 V/1 kΩ + 5 V/100 kΩ)/(1/1 kΩ + 1/100 kΩ) = 5 V", chain(Output(1000), LowInput(100_000, 2.5)), 5, 5},
		{"which a low gate pulls down: (5 V/100 kΩ)/(1/1 kΩ + 1/100 kΩ) = 5/101 V", chain(Output(1000), LowInput(100_000, 2.5)), 0, 5.0 / 101},
	} {
		require.InDelta(t, c.want, c.g.volts(c.sent), 1e-12, c.name)
	}
}

// A trigger behind 1 kΩ: 5 V·100/101 reach its 2.5 V, and 2.52 V do not. Within its pulse it gives
// 5 V, beyond it nothing, whatever is before it; through a diode 4.3 V.
func TestATrigger(t *testing.T) {
	g := chain(Output(1000), Trigger(5*time.Millisecond), Or(), Input(100_000))
	require.Zero(t, g.volts(5))
	require.True(t, g.On(1))
	g.Fire(1, true)
	require.InDelta(t, 4.3, g.volts(5), 1e-12)
	require.InDelta(t, 4.3, g.volts(2.52), 1e-12)
	require.False(t, g.On(1))
	require.InDelta(t, 252.0/101, float64(g.Volts(1)), 1e-12)
	g.Fire(1, false)
	require.Zero(t, g.volts(5))
}

// 2 V through 1 kΩ and 3 V through none, each into an input of 100 kΩ of an adder:
// 2·100/101 + 3.
func TestAnAdderOfTwo(t *testing.T) {
	g := &Graph{}
	a, b, sum, in := g.Add(Output(1000)), g.Add(Output(0)), g.Add(Buffer(0)), g.Add(Input(100_000))
	g.Wire(a, sum)
	g.Wire(b, sum)
	g.Wire(sum, in)
	g.Set(a, 2)
	g.Set(b, 3)
	require.InDelta(t, 200.0/101+3, float64(g.Volts(in)), 1e-12)
	require.Equal(t, []int{b, sum, in}, g.Way(b, in))
	require.Nil(t, g.Way(in, a))
}

// 4.3 V pass a threshold of 4.2 V, but not by 20 %, which is 4.2·1.2 = 5.04 V.
func TestAGateOrIntoItsThreshold(t *testing.T) {
	g := chain(Output(0), Or(), GateInput(100_000, 4.2))
	require.InDelta(t, 4.3, g.volts(5), 1e-12)
	require.True(t, g.On(2))
	require.InDelta(t, 5.04, 4.2*(1+GateMargin), 1e-12)
	require.Less(t, float64(g.Volts(2)), 4.2*(1+GateMargin))
	g.volts(4.8) // 4.1 V
	require.False(t, g.On(2))
}

// S-trig both ways, and without a converter: what is on while the key is up, and
// while it is down.
func TestShortsBothWays(t *testing.T) {
	volts, low := GateInput(100_000, 2.5), LowInput(100_000, 2.5)
	for _, c := range []struct {
		name     string
		g        *Graph
		up, down bool
	}{
		{"volts into volts", chain(Output(1000), volts), false, true},
		{"a contact into S-trig", chain(Short(), low), false, true},
		{"volts into S-trig: it sounds while the gate is low", chain(Output(1000), low), true, false},
		{"a contact into volts: never", chain(Short(), volts), false, false},
		{"volts, a converter, S-trig", chain(Output(1000), ToShort(), low), false, true},
		{"a contact, a converter, volts", chain(Short(), FromShort(), volts), false, true},
		{"volts, an inverter, S-trig", chain(Output(1000), Inverter(), low), false, true},
		{"the wrong converter: a contact into that for volts, never", chain(Short(), ToShort(), low), false, false},
		{"volts into that for S-trig: sounds while it is low", chain(Output(1000), FromShort(), volts), true, false},
	} {
		last := len(c.g.parts) - 1
		send := func(down bool) {
			if c.g.IsContact(0) {
				c.g.Close(0, down)
			} else {
				c.g.Set(0, map[bool]profiles.Volts{true: 5}[down])
			}
		}
		send(false)
		require.Equal(t, c.up, c.g.On(last), "%s, key up", c.name)
		send(true)
		require.Equal(t, c.down, c.g.On(last), "%s, key down", c.name)
	}
}

// Contacts on one node are an OR: either opens the input.
func TestContactsMeet(t *testing.T) {
	g := &Graph{}
	a, b, node, in := g.Add(Short()), g.Add(Short()), g.Add(Part{}), g.Add(LowInput(100_000, 2.5))
	g.Wire(a, node)
	g.Wire(b, node)
	g.Wire(node, in)
	for _, down := range []int{a, b} {
		require.False(t, g.On(in))
		g.Close(down, true)
		require.True(t, g.On(in))
		g.Close(down, false)
	}
}

// A multiple of three outputs leads to three, and then to a fourth.
func TestOutputsAreCounted(t *testing.T) {
	g := chain(Output(1000), Part{Outs: 3})
	for n := 1; n <= 4; n++ {
		g.Wire(1, g.Add(Input(100_000)))
		require.Equal(t, n > 3, len(g.Full()) > 0, fmt.Sprint(n))
		require.Len(t, g.Load(0).Inputs, n)
	}
}

// Ways that part and meet again double at each stage: 40 of them take no time.
func TestManyWays(t *testing.T) {
	g := &Graph{}
	from := g.Add(Output(0))
	at := from
	for range 40 {
		a, b, sum := g.Add(Buffer(0)), g.Add(Buffer(0)), g.Add(Part{Kind: Linear, In: 100_000, Gain: 0.5})
		for _, x := range []int{a, b} {
			g.Wire(at, x)
			g.Wire(x, sum)
		}
		at = sum
	}
	g.Set(from, 1)
	require.InDelta(t, 1, float64(g.Volts(at)), 1e-9)
	require.Nil(t, g.Way(g.Add(Output(0)), at))
}
