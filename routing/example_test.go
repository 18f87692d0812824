package routing_test

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing"
)

// Which jack, port and channel drives the first voice of the second bank.
func ExampleNewMap() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	m := routing.NewMap(rig)
	pitch := m.Voices[4].Lane("pitch")
	fmt.Println(pitch.Name, pitch.Jack, pitch.Port, pitch.Channel)
	cvs, gates, _ := m.SpareCount()
	fmt.Println(cvs, gates)
	// Output:
	// L1.pitch 5 1 5
	// 8 8
}
