package detune

import (
	"fmt"
	"slices"
	"strings"
)

// Law says how the voices of a unison lie within its width.
type Law uint8

// The laws. The first is what a rig has when it does not say.
const (
	Uneven Law = iota // Golomb rulers: no two pair differences alike, up to MaxUneven voices
	Even              // equal gaps: one common throb
	Power             // crowded towards the centre (exponent above 1) or the ends (below 1)
	Golden            // two or three kinds of gap, for any number of voices
	Random            // seeded, the same for the same seed
)

var lawNames = [...]string{Uneven: "uneven", Even: "even", Power: "power", Golden: "golden", Random: "random"}

// String is the name in a rig file.
func (l Law) String() string {
	if int(l) < len(lawNames) {
		return lawNames[l]
	}
	return fmt.Sprintf("law %d", uint8(l))
}

// LawNames lists the names of the laws.
func LawNames() []string { return slices.Clone(lawNames[:]) }

// ParseLaw returns the law of that name.
func ParseLaw(name string) (Law, error) {
	if i := slices.Index(lawNames[:], name); i >= 0 {
		return Law(i), nil
	}
	return 0, fmt.Errorf("unknown %q, allowed are %s", name, strings.Join(lawNames[:], ", "))
}
