package growth_test

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/growth"
)

// Sixteen jacks of each kind are enough for two banks of four more.
func ExampleNew() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	g := growth.New(routing.NewMap(rig))
	fmt.Println(g.First()[0].Banks)
	// Output:
	// 2
}
