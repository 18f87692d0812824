package reach

import (
	"math"
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
)

// Finder says what is missed, in the words of a rig.
type Finder struct {
	Rig *profiles.Rig
	Cfg *alloc.Config
}

// Find speaks of parts that miss pitches, and of the interfaces on which they
// play.
func (f Finder) Find(parts []Range, interfaces []Range, on [][]int) (found []routing.Finding) {
	for at := range interfaces {
		if r := &interfaces[at]; r.Missed > 0 {
			found = append(found, f.box(at, r, parts, on[at]))
		}
	}
	for i := range parts {
		if r := &parts[i]; r.Missed > 0 {
			found = append(found, f.part(i, r))
		}
	}
	return found
}

// box speaks of all that is played on an interface.
func (f Finder) box(at int, r *Range, parts []Range, on []int) routing.Finding {
	box := &f.Rig.Interfaces[at]
	low, high := r.WindowKeys()
	facts := append(f.ranges(r), routing.Number("keys", r.Keys(), "keys").Main(), routing.Named("interface", box.Name),
		routing.Number("range_keys", max(0, high-low+1), "keys"))
	if r.ZeroKey != nil {
		return routing.New(routing.ZeroKeyOff, "interfaces."+box.Name+".zero_key", append(facts, f.keyAt("zero_key", r.ZeroKey.Key))...)
	}
	return routing.New(routing.WindowTooNarrow, "interfaces."+box.Name+".window", append(facts, f.own(box, parts, on)...)...)
}

// ranges are the keys that are played and those that there are.
func (f Finder) ranges(r *Range) []routing.Fact {
	low, high := r.WindowKeys()
	return []routing.Fact{f.keyAt("low", r.LowKey), f.keyAt("high", r.HighKey), f.keyAt("range_low", low), f.keyAt("range_high", high)}
}

func (f Finder) keyAt(name string, key int) routing.Fact { return routing.Key(name, key, f.key(key)) }

// own are the zero keys that parts need for themselves: the nearest one, and the
// nearest whole octave from the present one if that fits too.
func (f Finder) own(box *profiles.Interface, parts []Range, on []int) (facts []routing.Fact) {
	n := 0
	for _, p := range on {
		r := &parts[p]
		if r.Missed == 0 || r.Shift == nil || box.Scale.HertzPerVolt() {
			continue
		}
		n++
		name := f.Cfg.Parts[p].Name
		facts = append(facts, f.keyAt("zero_key", box.ZeroKey+*r.Shift).Belongs(name))
		if octave, ok := r.octave(); ok {
			facts = append(facts, f.keyAt("octave_key", box.ZeroKey+octave).Belongs(name))
		}
	}
	return append(facts, routing.Number("parts", n, ""))
}

// octave is the shift by whole octaves that is next to the least one; ok is false
// where that does not do, or is the least one.
func (r *Range) octave() (shift int, ok bool) {
	shift = 12 * int(math.Floor(float64(*r.Shift)/12))
	if *r.Shift > 0 {
		shift = 12 * int(math.Ceil(float64(*r.Shift)/12))
	}
	moved := alloc.Window{Low: r.Window.Low + float64(shift), High: r.Window.High + float64(shift)}
	return shift, shift != *r.Shift && moved.Low <= r.Low+slack && r.High <= moved.High+slack
}

// mostTranspose is the most semitones that a rig may say.
const mostTranspose = 48

// handling is what is done with pitches out of range.
var handling = map[alloc.OutOfRange]string{alloc.Clamp: "clamped", alloc.Fold: "moved by octaves", alloc.DropNote: "dropped"}

// part speaks of what one part misses.
func (f Finder) part(i int, r *Range) routing.Finding {
	p := &f.Cfg.Parts[i]
	bars, runs := bars(r.Bars)
	facts := append(f.ranges(r), routing.Number("missed", r.Missed, "notes").Main(), routing.Named("part", p.Name),
		routing.Named("handling", handling[p.OutOfRange]), routing.Number("bars", bars, ""), routing.Named("where", runs...))
	if r.WorstCents != 0 {
		facts = append(facts, routing.Number("worst", math.Abs(r.WorstCents), "cents"))
	}
	switch {
	case r.Octaves != nil && max(p.Transpose+12**r.Octaves, -p.Transpose-12**r.Octaves) <= mostTranspose:
		facts = append(facts, routing.Number("transpose", p.Transpose+12**r.Octaves, "semitones"))
	case r.ZeroKey != nil:
		facts = append(facts, f.keyAt("zero_key", r.ZeroKey.Key), routing.Named("interface", f.Rig.Interfaces[r.ZeroKey.Interface].Name))
	case r.Shift != nil:
		facts = append(facts, routing.Number("shift", *r.Shift, "semitones"))
	}
	out := routing.New(routing.OutOfReach, "parts."+p.Name, facts...)
	out.Pos = f.Rig.Parts[i].Pos
	return out
}

// bars counts bars, and names runs of them with a dash.
func bars(list []Bar) (n int, runs []string) {
	numbers := make([]int, len(list))
	for i, b := range list {
		numbers[i] = b.Bar
	}
	numbers = slices.Compact(slices.Sorted(slices.Values(numbers)))
	return len(numbers), unit.Runs(numbers)
}

// key names a key, also one outside of 0–127.
func (f Finder) key(key int) string {
	octave := int(f.Rig.MiddleC)
	for ; key < 0; octave-- {
		key += 12
	}
	for ; key > 127; octave++ {
		key -= 12
	}
	return midi.Key(key).Name(octave)
}
