package purchase

import (
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
