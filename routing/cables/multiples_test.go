package cables

import (
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing"
)

// By hand: a jack to three inputs passively is one multiple of three, two such to two
// inputs are two of two; six inputs behind buffered ones of four take ⌈6/4⌉ = 2 at the
// inputs and ⌈6/16⌉ = 1 before them. One jack to one input takes none.
func TestMultiplesToBuy(t *testing.T) {
	rig, faults := profiles.Read("test.yaml", []byte(`rig: R
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 3}, L: {voices: 3}}
wiring:
  - {from: main.cv 10, through: passive, to: [K1.cutoff, K2.cutoff, K3.cutoff]}
  - {from: main.cv 11, through: passive, to: [L1.cutoff, L2.cutoff]}
  - {from: main.cv 12, through: passive, to: [L1.resonance, L2.resonance]}
  - {from: main.cv 13, through: buffered 4, to: [K1.level, K2.level, K3.level, L1.level, L2.level, L3.level]}
  - {from: main.cv 14, to: [L3.cutoff]}
`), nil)
	require.Empty(t, faults)
	require.Equal(t, []Multiple{{profiles.Passive, 2, 2}, {profiles.Passive, 3, 1}, {profiles.Buffered, 4, 3}}, BuyMultiples(routing.NewMap(rig)))
}

// Five inputs of multiples with three outputs: two of them, ⌈(5 − 1)/(3 − 1)⌉, of four
// outputs ⌈4/3⌉ = 2 too; three inputs take one.
func TestMultiplesWithOutputs(t *testing.T) {
	for through, want := range map[string]Multiple{"passive 3": {profiles.Passive, 3, 2}, "passive 4": {profiles.Passive, 4, 2}, "passive 8": {profiles.Passive, 8, 1}, "passive": {profiles.Passive, 5, 1}} {
		rig, faults := profiles.Read("x.yaml", []byte("rig: R\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 5}}\nwiring: [{from: main.gate 1, through: "+through+", to: K.gate}]\n"), nil)
		require.Empty(t, faults)
		require.Equal(t, []Multiple{want}, BuyMultiples(routing.NewMap(rig)), through)
	}
}
