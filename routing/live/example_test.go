package live_test

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing/live"
	"choirloft/routing/plan"
)

// A key that comes in goes out to the first voice, on its own channel.
func ExampleSession() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	p, _ := plan.Build(rig, plan.Overrides{})
	s, _ := live.New(p, live.Options{})
	s.Send(func(int, []byte) {}) // what sets the voices up
	s.Receive(0, []byte{0x90, 60, 100}, 0)
	s.Send(func(port int, data []byte) { fmt.Printf("%d: % X\n", port, data) })
	// Output:
	// 0: 90 3C 64
}
