package profiles

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc"
)

// StarterPatch is a rig that is patched already: what a starter rig says of it
// instead of banks of one size and one interface.
type StarterPatch struct {
	Boxes  []StarterBox
	Banks  []StarterBank
	Macros []StarterMacro
	Wires  []StarterWire
	Pins   []StarterPin
}

// StarterBox is an interface: a profile, or jacks.
type StarterBox struct {
	Name, Profile      string
	CV, Gates, Outputs int
	// Given are further fields as they are written, in pairs: zero_key, 24.
	Given [][2]string
}

// StarterBank is a bank of voices.
type StarterBank struct {
	Name       string
	Voices     int
	Inputs     []string // of each voice beside pitch and gate
	Lanes      []string
	Out, Spare []int // positions
	Limited    []StarterLimit
	Remarks    []string // lines above it, as Comment of a part
}

// StarterLimit is a voice that tracks some keys only.
type StarterLimit struct {
	Position int
	Keys     alloc.KeyRange
}

// StarterMacro is a macro as it is written: CC 74 on 16.
type StarterMacro struct {
	Name, From string
	To         []string
}

// StarterWire is an output with a passive multiple behind it: main.cv 3.
type StarterWire struct {
	From string
	To   []string
}

// StarterPin holds an input or a macro on a jack: K1.pitch on main.cv 3.
type StarterPin struct{ Target, Jack string }

// BankName is the name of the bank at a place, from 0, that nobody has named: K … Z,
// KK, KL …
func BankName(i int) string { return bankAt(i) }

// ReadKeys reads a range of keys as a rig file has it, or one key, with C4 as middle C.
func ReadKeys(text string) (alloc.KeyRange, error) {
	keys, c := (&reader{middleC: C4}).parseKeySpan(tidy(text))
	if c != nil {
		return keys, fmt.Errorf("%s", c.message)
	}
	return keys, nil
}

// patched writes what a patched rig has beside its voices' kinds.
func (w *starter) patchedBoxes() {
	w.line("# The boxes between MIDI and the rack.")
	w.line("interfaces:")
	for _, b := range w.Patch.Boxes {
		w.line("  %s:", Plain(b.Name))
		if b.Profile != "" {
			w.line("    profile: %s", b.Profile)
		} else {
			for _, n := range []struct {
				key string
				n   int
			}{{"cv", b.CV}, {"gates", b.Gates}, {"outputs", b.Outputs}} {
				if n.n > 0 {
					w.line("    %s: %d", n.key, n.n)
				}
			}
		}
		given := map[string]bool{}
		for _, f := range b.Given {
			w.line("    %s: %s", f[0], f[1])
			given[f[0]] = true
		}
		w.measures("interfaces", b.Profile, interfaceShape.rows(), slices.DeleteFunc(interfaceMeasures(), func(m measure) bool { return given[m.key] }))
	}
	w.line("")
}

// patchedKinds are further kinds of voice: those of banks whose voices have more
// inputs than pitch and gate.
func (w *starter) patchedKinds() {
	for i, inputs := range w.inputs() {
		if i == 0 && len(inputs) == 0 {
			continue
		}
		if i > 0 {
			w.line("  %s:", kindAt(i))
			w.line("    profile: %s", w.Kind)
		}
		w.line("    inputs: [%s]", strings.Join(append([]string{"pitch", "gate"}, inputs...), ", "))
	}
}

// inputs are the further inputs of each kind of voice, and one of none at least.
func (w *starter) inputs() [][]string {
	var all [][]string
	for _, b := range w.Patch.Banks {
		if !slices.ContainsFunc(all, func(other []string) bool { return slices.Equal(other, b.Inputs) }) {
			all = append(all, b.Inputs)
		}
	}
	return all
}

func kindAt(i int) string {
	if i == 0 {
		return "own"
	}
	return "own-" + strconv.Itoa(i+1)
}

func (w *starter) patchedBanks() {
	kinds := w.inputs()
	for _, b := range w.Patch.Banks {
		for _, remark := range b.Remarks {
			w.line("  # %s", oneLine(remark))
		}
		kind := slices.IndexFunc(kinds, func(other []string) bool { return slices.Equal(other, b.Inputs) })
		fields := []string{fmt.Sprintf("voices: %d, kind: %s", b.Voices, kindAt(kind))}
		if len(b.Lanes) > 0 {
			fields = append(fields, "lanes: ["+strings.Join(b.Lanes, ", ")+"]")
		}
		for _, s := range []struct {
			key string
			at  []int
		}{{"out", b.Out}, {"spare", b.Spare}} {
			if len(s.at) > 0 {
				fields = append(fields, s.key+": "+strings.ReplaceAll(fmt.Sprint(slices.Sorted(slices.Values(s.at))), " ", ", "))
			}
		}
		var limits []string
		for _, l := range b.Limited {
			limits = append(limits, fmt.Sprintf("%d: %d-%d", l.Position, l.Keys.Low, l.Keys.High))
		}
		if len(limits) > 0 {
			fields = append(fields, "limited: {"+strings.Join(limits, ", ")+"}")
		}
		w.line("  %s: {%s}", NameText(b.Name), strings.Join(fields, ", "))
	}
}

// patchedJacks writes what is not one jack to one input in order.
func (w *starter) patchedJacks() {
	if len(w.Patch.Macros) > 0 {
		w.line("")
		w.line("macros:")
		for _, m := range w.Patch.Macros {
			w.line("  %s: {from: %s, to: [%s]}", Plain(m.Name), m.From, strings.Join(m.To, ", "))
		}
	}
	if len(w.Patch.Wires) > 0 {
		w.line("")
		w.line("# One output to several inputs.")
		w.line("wiring:")
		for _, x := range w.Patch.Wires {
			w.line("  - {from: %s, through: passive, to: [%s]}", x.From, strings.Join(x.To, ", "))
		}
	}
	if len(w.Patch.Pins) > 0 {
		w.line("")
		w.line("# Jacks out of order: each holds its input.")
		w.line("pins:")
		for _, p := range w.Patch.Pins {
			w.line("  %s: %s", p.Target, p.Jack)
		}
	}
}
