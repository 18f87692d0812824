package plan_test

import (
	"fmt"
	"os"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// A song on a rig, as it is and with another rule. The codes tell the two apart.
func Example() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	data, _ := os.ReadFile("../../testdata/slow-kiln.mid")
	song, _ := midi.Read(data, midi.Options{})
	for _, o := range []plan.Overrides{{}, plan.MustParse("--steal", "oldest")} {
		p, _ := plan.Build(rig, o)
		r, _ := p.Replay(song)
		fmt.Println(p.Code(), r.Rig.Tally.Notes, r.Rig.Tally.Damaged())
	}
	// Output:
	// H3J45QW4 328 45
	// 5WY8PKA1 328 45
}
