package purchase_test

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/purchase"
)

// Two banks of four leave eight of sixteen CVs: a third bank has room, and for three more
// there has to be another interface. A mixer with two inputs has none left.
func ExampleNew() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	m := routing.NewMap(rig)
	for _, banks := range []int{1, 3} {
		p := purchase.New(m, 1, banks)
		fmt.Println(p.Banks, p.Interfaces, p.Needs()[0], p.Unknown())
	}
	rig.Gear = append(rig.Gear, profiles.Gear{Name: "mixer", Inputs: 2})
	fmt.Println(purchase.New(m, 1, 1).Refused)
	// Output:
	// 1 0 CV jacks (8 free, 4 needed) [mixer inputs current width]
	// 3 1 CV jacks (8 free, 12 needed) [mixer inputs current width]
	// [mixer inputs (0 free, 1 needed)]
}
