package link_test

import (
	"fmt"
	"os"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/link"
	"choirloft/routing/plan"
)

// How much a song sends over the MIDI links of a rig.
func ExampleOf() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	data, _ := os.ReadFile("../../testdata/slow-kiln.mid")
	song, _ := midi.Read(data, midi.Options{})
	p, _ := plan.Build(rig, plan.Overrides{})
	load, err := link.Of(p, song)
	fmt.Println(len(load.Ports), load.Ports[0].Messages > song.NoteOns, err)
	// Output:
	// 1 true <nil>
}
