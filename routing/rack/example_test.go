package rack_test

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing/rack"
)

// An interface and two banks are three modules; of rows and supplies this rig says
// nothing.
func ExampleNew() {
	rig, _ := profiles.Read("wall.yaml", []byte(`
rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {}}
`), nil)
	sheet := rack.New(rig)
	fmt.Println(len(sheet.Modules), len(sheet.Rows), len(sheet.Supplies))
	// Output:
	// 3 0 0
}
