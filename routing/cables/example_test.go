package cables_test

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/cables"
)

// Eight voices take a pitch and a gate cable each, from the interface to the voice.
func ExampleList() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	list := cables.List(routing.NewMap(rig))
	fmt.Println(len(list), list[0].To)
	// Output:
	// 16 K1.pitch
}
