package advise

import (
	"math"
	"math/bits"
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// splitLines are the keys of the rig that a split changes besides banks: the keys of the part, and a part
// for the others.
const splitLines = 2

// splitsOf are the ways to split the keys of a part over banks, low keys on some and high ones on
// others: at the keys that leave a quarter, half and three quarters of its notes below, and where
// notes are out of range at the ends of what banks can play.
func (f *finder) splitsOf(part int) (list []value) {
	p := &f.plan.Rules.Config.Parts[part]
	if p.Mode != alloc.Poly || p.Pick == alloc.PickFixed || p.Second == alloc.PickFixed || len(p.Zones) > 0 || len(f.keys[part]) == 0 {
		return nil
	}
	for _, key := range f.splitKeys(part) {
		for _, two := range f.twos(part) {
			seats := plan.Seats{{Banks: f.names(two[0])}, {From: key, Banks: f.names(two[1])}}
			list = append(list, f.on(part, seats.String(), two[0]|two[1], splitLines))
		}
	}
	return list
}

// splitKeys are keys with notes of a part below them, and notes from them on.
func (f *finder) splitKeys(part int) (keys []midi.Key) {
	all := f.keys[part]
	for quarter := 1; quarter < 4; quarter++ {
		keys = append(keys, all[quarter*len(all)/4])
	}
	if f.outOfRange() {
		keys = append(keys, f.ends(part)...)
	}
	slices.Sort(keys)
	return slices.DeleteFunc(slices.Compact(keys), func(k midi.Key) bool { return k <= all[0] || k > all[len(all)-1] })
}

// ends are the keys of a part from which on banks can play, and from which on they no longer can.
func (f *finder) ends(part int) (keys []midi.Key) {
	shift := f.plan.Rules.Config.Parts[part].Transpose
	for _, banks := range f.windows() {
		w := f.plan.Rules.Config.Voices[f.plan.Rig.Banks[bits.TrailingZeros64(banks)].First].Window
		for _, end := range []float64{math.Ceil(w.Low), math.Floor(w.High) + 1} {
			if key := int(end) - shift; w.Bounded && 0 < key && key < 128 {
				keys = append(keys, midi.Key(key))
			}
		}
	}
	return keys
}

// twos are two groups of banks for the low and the high keys of a part: all in service cut in two, then its
// own, in both orders; and those that can play some keys beside those that can play others.
func (f *finder) twos(part int) (list [][2]uint64) {
	add := func(a, b uint64) {
		for _, two := range [][2]uint64{{a, b}, {b, a}} {
			if a != 0 && b != 0 && !slices.Contains(list, two) {
				list = append(list, two)
			}
		}
	}
	for _, all := range []uint64{f.serving, f.slots[part].values[0].banks & f.serving} {
		for _, low := range cuts(all) {
			add(low, all&^low)
		}
	}
	windows := f.windows()
	for i, a := range windows {
		for _, b := range windows[:i] {
			add(a, b)
		}
	}
	return list
}

// cuts are the first one, two and three of some banks; of more than four the first quarter, half and three quarters.
func cuts(all uint64) (list []uint64) {
	n := bits.OnesCount64(all)
	for quarter := 1; quarter < 4; quarter++ {
		first := quarter
		if n > mostSubsets {
			first = quarter * n / 4
		}
		low, rest := uint64(0), all
		for range min(first, n) {
			low |= rest & -rest
			rest &= rest - 1
		}
		if rest != 0 && low != 0 {
			list = append(list, low)
		}
	}
	return list
}

// windows are the banks in service, those together that can play the same keys.
func (f *finder) windows() (list []uint64) {
	for rest := f.serving; rest != 0; rest &= rest - 1 {
		b := bits.TrailingZeros64(rest)
		at := slices.IndexFunc(list, func(banks uint64) bool { return window(f.plan, bits.TrailingZeros64(banks)) == window(f.plan, b) })
		if at < 0 {
			list = append(list, 1<<b)
		} else {
			list[at] |= 1 << b
		}
	}
	return list
}
