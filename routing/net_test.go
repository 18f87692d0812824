package routing

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing/circuit"
)

// net is the net of a jack.
func (m *Map) net(t *testing.T, jack int, gate bool) *Net {
	t.Helper()
	for i := range m.Nets {
		if n := &m.Nets[i]; n.Jack == jack && n.GateJack == gate {
			return n
		}
	}
	require.Fail(t, "nothing hangs on the jack")
	return nil
}

// names lists the inputs of a branch as a rig writes them.
func (m *Map) branch(b Branch) (names []string) {
	for _, i := range b.Inputs {
		names = append(names, i.Name(m.Rig))
	}
	return names
}

func TestNets(t *testing.T) {
	m := mapOf(t, `
interfaces: {main: {profile: cv32-gate32, output_resistance: 0 ohm}}
voices: {k: {group_pitch: sums}, n: {}}
banks: {K: {voices: 2, kind: k, lanes: [cutoff]}, L: {voices: 5, kind: n}}
macros: {bite: {from: CC 74 on 16, to: [K.resonance, L.resonance, L1.level]}}
wiring:
  - {from: main.cv 20, through: buffered 4, to: [L.pitch]}
  - {from: main.cv 21, to: K.pitch}
  - {from: main.cv 22, to: [K.cutoff, K.level]}
  - {from: main.gate 20, through: passive, to: L.gate, calibrated_with: 3}
`)
	own := m.net(t, 1, false)
	require.Equal(t, []string{"K1.pitch"}, own.Lanes)
	require.Len(t, own.Branches, 1)
	require.Equal(t, -1, own.Branches[0].Wire)
	require.Equal(t, profiles.Direct, own.Branches[0].Through)

	tree := m.net(t, 20, false) // five voices: ⌈5/4⌉ + ⌈5/16⌉ multiples, of which one hangs on the jack
	require.Equal(t, []string{"L1.pitch", "L2.pitch", "L3.pitch", "L4.pitch", "L5.pitch"}, m.branch(tree.Branches[0]))
	require.Equal(t, []int{1, 2}, tree.Branches[0].Tree.Levels)
	require.Equal(t, []profiles.Ohms{circuit.BufferInput}, tree.Load.Inputs)
	require.Len(t, m.amplifiers(tree, m.pitchOf(m.Rig.Banks[1].First)), 2)

	group := m.net(t, 21, false)
	require.Equal(t, []string{"K.pitch"}, m.branch(group.Branches[0]))
	require.True(t, group.Inputs()[0].Group())

	common := m.net(t, 22, false) // a wire that goes straight to two jacks is a passive multiple
	require.Equal(t, profiles.Passive, common.Branches[0].Through)
	require.Equal(t, []string{"K.cutoff", "K.level"}, m.branch(common.Branches[0]))

	gates := m.net(t, 20, true)
	require.Equal(t, 3, gates.Calibrated)
	require.Len(t, gates.Load.Inputs, 5)

	bite := m.NetOf(&m.Macros[0])
	require.Equal(t, profiles.Passive, bite.Branches[0].Through)
	require.Equal(t, []string{"K.resonance", "L.resonance", "L1.level"}, m.branch(bite.Branches[0]))
	require.Nil(t, m.NetOf(nil))
}

// Every lane with a jack has a net, and every net's inputs are there once.
func TestEveryLaneHasANet(t *testing.T) {
	m := demoMap(t)
	require.Len(t, m.Nets, 20+20+5+3) // the lanes in use: pitch, gate, cutoff, macros
	seen := map[Input]bool{}
	for _, l := range m.Lanes() {
		n := m.NetOf(l)
		require.Contains(t, n.Lanes, l.Name)
	}
	for i := range m.Nets {
		for _, in := range m.Nets[i].Inputs() {
			require.False(t, seen[in], in.Name(m.Rig))
			seen[in] = true
		}
	}
	require.Len(t, seen, 20+20+5+5+2+3)
}
