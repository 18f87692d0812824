package profiles_test

import (
	"fmt"

	"choirloft/profiles"
)

func ExampleRead() {
	rig, _ := profiles.Read("small.yaml", []byte(`
rig: Small wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4, out: [2]}}
`), nil)
	for _, v := range rig.Voices[4:6] {
		fmt.Println(v.Name, v.InService())
	}

	_, faults := profiles.Read("faulty.yaml", []byte(`
rig: Faulty
banks: {K: {vioces: 4}}
audible: {free: -60}
`), nil)
	fmt.Println(faults)
	// Output:
	// L1 true
	// L2 false
	// faulty.yaml:3:13: banks.K.vioces: unknown key "vioces", want one of voices, kind, lanes, out, limited, spare, use_spare, shared, gates, colour, row, hp, ma
	//     did you mean voices? how many voices it has, such as voices: 8
	// faulty.yaml:4:17: audible.free: "-60" has no unit, want a level from -200 dB to 0 dB
	//     write -60 dB
}
