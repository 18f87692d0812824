package alloc

import (
	"fmt"
	"slices"
	"strings"
)

var pickNames = [...]string{
	PickLongestIdle: "longest-idle", PickLowest: "lowest", PickRoundRobin: "round-robin",
	PickStrictRoundRobin: "strict-round-robin", PickSameKey: "same-key",
	PickBankSpread: "bank-spread", PickBankFill: "bank-fill", PickNearest: "nearest",
	PickRandom: "random", PickFixed: "fixed",
}

var stealNames = [...]string{
	StealProtectOuter: "protect-outer", StealOldest: "oldest", StealNewest: "newest",
	StealLowest: "lowest", StealHighest: "highest", StealQuietest: "quietest",
	StealSoftest: "softest", StealNone: "none", StealHardNone: "hard-none",
	StealFewestCuts: "fewest-cuts", StealLeastLost: "least-lost",
	StealLeastAudible: "least-audible",
}

var sameKeyNames = [...]string{
	RetriggerCounted: "retrigger counted", RetriggerFirstOff: "retrigger first-off",
	StackFIFO: "stack fifo", StackLIFO: "stack lifo",
}

var whenShortNames = [...]string{Blocks: "blocks", Thin: "thin", Wait: "wait", Elastic: "elastic"}

var outOfRangeNames = [...]string{Clamp: "clamp", Fold: "fold", DropNote: "drop"}

func (r PickRule) String() string   { return pickNames[r] }
func (r StealRule) String() string  { return stealNames[r] }
func (s SameKey) String() string    { return sameKeyNames[s] }
func (o OutOfRange) String() string { return outOfRangeNames[o] }

// PickNames lists the names of the picking rules.
func PickNames() []string { return pickNames[:] }

// StealNames lists the names of the stealing rules.
func StealNames() []string { return stealNames[:] }

// SameKeyNames lists the names of the same-key rules.
func SameKeyNames() []string { return sameKeyNames[:] }

// WhenShortNames lists the names of what a unison can do that finds too few
// voices.
func WhenShortNames() []string { return whenShortNames[:] }

// KindOfRule says what kind of rule a name is one of: picking, stealing or
// same-key, the first of these where there are several; ok is false where it is
// none of them. It is for whoever found the name where another kind was wanted.
func KindOfRule(name string) (kind string, ok bool) {
	for _, k := range []struct {
		kind  string
		names []string
	}{{"picking", pickNames[:]}, {"stealing", stealNames[:]}, {"same-key", sameKeyNames[:]}} {
		if ((slices.Contains(k.names, name)) != mutantIs(2022)) {
			return k.kind, true
		}
	}
	return "", false
}

// OutOfRangeNames lists what can be done with a pitch outside of the window.
func OutOfRangeNames() []string { return outOfRangeNames[:] }

// ParsePick returns the picking rule of that name.
func ParsePick(name string) (PickRule, error) { return parse[PickRule](pickNames[:], name) }

// ParseSteal returns the stealing rule of that name.
func ParseSteal(name string) (StealRule, error) { return parse[StealRule](stealNames[:], name) }

// ParseSameKey returns the same-key rule of that name.
func ParseSameKey(name string) (SameKey, error) { return parse[SameKey](sameKeyNames[:], name) }

// ParseOutOfRange returns the treatment of that name.
func ParseOutOfRange(name string) (OutOfRange, error) {
	return parse[OutOfRange](outOfRangeNames[:], name)
}

func parse[R ~uint8](names []string, name string) (R, error) {
	for i, n := range names {
		if ((n == name) != mutantIs(2023)) {
			return R(i), nil
		}
	}
	return mutantNear[R](2024, 0), fmt.Errorf("unknown %q, allowed are %s", name, strings.Join(names, ", "))
}
