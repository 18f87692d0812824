package reach

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
	text := fmt.Sprintf("the song plays %s, %d keys; the CV range of %s has %s, %d keys",
		f.keys(r.LowKey, r.HighKey), r.Keys(), box.Name, f.keys(low, high), max(0, high-low+1))
	keys := float64(r.Keys())
	if r.Shift != nil {
		out := routing.New(routing.ZeroKeyOff, "interfaces."+box.Name+".zero_key", text+". Another key at 0 V fits all of it")
		out.Hint = fmt.Sprintf("zero_key: %d", box.ZeroKey+*r.Shift)
		out.Value, out.Unit = &keys, "keys"
		return out
	}
	out := routing.New(routing.WindowTooNarrow, "interfaces."+box.Name+".window", text+". No key at 0 V fits all of it")
	out.Hint = f.own(box, parts, on)
	out.Value, out.Unit = &keys, "keys"
	return out
}

// own says which parts need a zero key of their own.
func (f Finder) own(box *profiles.Interface, parts []Range, on []int) string {
	var words []string
	for _, p := range on {
		if r := &parts[p]; r.Missed > 0 && r.Shift != nil && !box.Scale.HertzPerVolt() {
			words = append(words, fmt.Sprintf("%s needs zero_key %s", f.Cfg.Parts[p].Name, f.zero(box, *r.Shift, r)))
		}
	}
	switch len(words) {
	case 0:
		return "choose a wider CV range, or parts with fewer keys"
	case 1:
		return words[0] + ". Give it voices on an interface of its own, or tune its voices lower and transpose it"
	}
	return strings.Join(words, "; ") + ". Give each voices on an interface of its own, or tune its voices lower and transpose it"
}

// zero names the zero key that is nearest, and the nearest whole octave from
// the present one if that fits too.
func (f Finder) zero(box *profiles.Interface, shift int, r *Range) string {
	text := fmt.Sprintf("%d (%s)", box.ZeroKey+shift, f.key(box.ZeroKey+shift))
	octave := 12 * int(math.Floor(float64(shift)/12))
	if shift > 0 {
		octave = 12 * int(math.Ceil(float64(shift)/12))
	}
	moved := alloc.Window{Low: r.Window.Low + float64(octave), High: r.Window.High + float64(octave)}
	if octave != shift && moved.Low <= r.Low+slack && r.High <= moved.High+slack {
		text += fmt.Sprintf(", or by whole octaves %d (%s)", box.ZeroKey+octave, f.key(box.ZeroKey+octave))
	}
	return text
}

// part speaks of what one part misses.
func (f Finder) part(i int, r *Range) routing.Finding {
	p := &f.Cfg.Parts[i]
	low, high := r.WindowKeys()
	verb := map[alloc.OutOfRange]string{alloc.Clamp: "clamped", alloc.Fold: "moved by octaves", alloc.DropNote: "dropped"}[p.OutOfRange]
	text := fmt.Sprintf("%s of %s out of range and %s", unit.Count(r.Missed, "note"), p.Name, verb)
	if r.WorstCents != 0 {
		text += ", by up to " + unit.Fixed(math.Abs(r.WorstCents), 1) + " cents"
	}
	text += fmt.Sprintf(", in %s. It plays %s, the CV range has %s", bars(r.Bars), f.keys(r.LowKey, r.HighKey), f.keys(low, high))
	out := routing.New(routing.OutOfReach, "parts."+p.Name, text)
	out.Pos = f.Rig.Parts[i].Pos
	out.Hint = shiftHint(r)
	missed := float64(r.Missed)
	out.Value, out.Unit = &missed, "notes"
	return out
}

func shiftHint(r *Range) string {
	switch {
	case r.Octaves == nil && r.Shift == nil:
		return "no octave fits all of it: split it, or choose a wider CV range"
	case r.Octaves == nil:
		return fmt.Sprintf("no octave fits all of it; a zero_key %d semitones away does", *r.Shift)
	}
	return fmt.Sprintf("transpose: %d fits all of it", 12**r.Octaves)
}

// bars names bars, runs of them with a dash; at most eight.
func bars(list []Bar) string {
	numbers := make([]int, len(list))
	for i, b := range list {
		numbers[i] = b.Bar
	}
	numbers = slices.Compact(slices.Sorted(slices.Values(numbers)))
	words := unit.Runs(numbers)
	const most = 8
	if len(words) > most {
		words = append(words[:most], "…")
	}
	what := "bar "
	if len(numbers) > 1 {
		what = "bars "
	}
	return what + strings.Join(words, ", ")
}

func (f Finder) keys(low, high int) string {
	return fmt.Sprintf("%s-%s (%d-%d)", f.key(low), f.key(high), low, high)
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
