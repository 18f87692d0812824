package setups_test

import (
	"fmt"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/setups"
)

// From one set-up of a rack to another.
func ExampleBetween() {
	file, _ := profiles.Open("../../testdata/rigs/full.yaml")
	m := routing.NewMap(file.Rig)
	from, to := setups.New(m, 0), setups.New(m, 1)
	c := setups.Between(from, to)
	fmt.Println(c.Moves() == len(c.Pulls)+len(c.Plugs)+len(c.Switches))
	fmt.Println(setups.Between(to, to).Moves())
	// Output:
	// true
	// 0
}
