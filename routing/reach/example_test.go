package reach_test

import (
	"fmt"
	"os"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/reach"
)

// How many notes the pad has, the lowest and highest key of them, and how many
// its voices do not reach.
func ExampleParts() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	data, _ := os.ReadFile("../../testdata/slow-kiln.mid")
	song, _ := midi.Read(data, midi.Options{})
	p, _ := plan.Build(rig, plan.Overrides{})
	played, _ := p.Replay(song)
	pad := reach.Parts(&p.Rules.Config, played, &song.Meter)[0]
	fmt.Println(pad.Notes, pad.LowKey, pad.HighKey, pad.Missed)
	// Output:
	// 328 29 95 24
}
