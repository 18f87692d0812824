package whatif_test

import (
	"fmt"
	"os"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// How many notes are damaged as it is, and with eight voices more.
func ExampleSession_Play() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	data, _ := os.ReadFile("../../testdata/slow-kiln.mid")
	song, _ := midi.Read(data, midi.Options{})
	s, _ := whatif.New(rig, plan.Overrides{}, song)
	now, _ := s.Play(plan.Overrides{})
	more, _ := s.Play(plan.Overrides{More: plan.All(8)})
	fmt.Println(now.Damaged(), more.Damaged())
	// Output:
	// 45 0
}
