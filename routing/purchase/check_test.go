package purchase

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/growth"
)

// What would be an error of check is refused with what it says: inputs that want a switch get
// volts of the interface, where nothing that lies between is bought.
func TestPurchasesThatCheckWouldNotPass(t *testing.T) {
	rig, err := profiles.Load("../../testdata/rigs/shorts.yaml")
	require.NoError(t, err)
	p := New(routing.NewMap(rig), 0, 1)
	require.Len(t, p.Refused, 1)
	require.Equal(t, growth.Check, p.Refused[0].Resource)
	require.Contains(t, p.Refused[0].String(), "check: main gives volts; ")
}

// Interfaces are like whichever of the rig's takes fewest, and like the one that drives the
// bank where that is all the same. By hand: a bank of 4 takes 4 pairs, and none is free.
func TestWhichInterfaceIsBought(t *testing.T) {
	const rig = `
rig: Two kinds
interfaces: {small: {cv: 4, gates: 4, hp: 10, row: 2%s}, big: {cv: 8, gates: 8%s}}
banks: {K: {voices: 4}, L: {voices: 8}}
pins: {K1.pitch: small.cv 1, L1.pitch: big.cv 1}
parts: {all: {}}
rack: {hp: 20}
`
	for _, row := range []struct {
		small, big string
		banks      int
		like       string
		interfaces int
	}{
		{"", "", 1, "small", 1},                      // 1 of either
		{"", "", 2, "big", 1},                        // 2 of small
		{"", ", window: 0 V to 10 V", 2, "small", 2}, // which gives the volts of K
		{"", ", hp: 30", 2, "small", 2},              // big is wider than a row
		{", window: 0 V to 10 V", "", 2, "small", 2},
	} {
		read, faults := profiles.Read("kinds.yaml", fmt.Appendf(nil, rig, row.small, row.big), nil)
		require.Empty(t, faults)
		p := New(routing.NewMap(read), 0, row.banks)
		require.Empty(t, p.Refused, "%+v", row)
		require.Equal(t, row.like, read.Interfaces[p.From].Name, "%+v", row)
		require.Equal(t, row.interfaces, p.Interfaces, "%+v", row)
	}
}

// A bank whose channels end first takes an interface though jacks are free: 14 of 16 channels
// of one port have a voice, 4 are needed.
func TestChannelsEndFirst(t *testing.T) {
	read, faults := profiles.Read("channels.yaml", []byte(`
rig: One port
interfaces: {main: {cv: 40, gates: 40, ports: 1}}
banks: {K: {voices: 10}, L: {voices: 4}}
parts: {all: {}}
`), nil)
	require.Empty(t, faults)
	p := New(routing.NewMap(read), 1, 1)
	require.Empty(t, p.Refused)
	require.Equal(t, 1, p.Interfaces)
	require.Equal(t, "MIDI channels (2 free, 4 needed)", p.Needs()[0].String())
}
