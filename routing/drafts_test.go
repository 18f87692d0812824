package routing

import (
	"fmt"
	"slices"

	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/profiles"
)

// Rigs of all shapes, for the laws.

// shapes are the inputs of kinds of voices.
var shapes = [][]string{
	{"pitch", "gate"}, {"pitch", "gate", "velocity"}, {"pitch"}, {"gate"}, {"gate", "pitch", "velocity", "cutoff"},
}

// draft is a rig in the making.
type draft struct {
	boxes  []profiles.Interface
	banks  []bankDraft
	macros int
	pins   []profiles.Pin
}

type bankDraft struct{ size, shape, lanes int }

// rig builds it as profiles would.
func (d draft) rig() *profiles.Rig {
	rig := &profiles.Rig{A4: 440, Interfaces: d.boxes, Pins: d.pins}
	for i, inputs := range shapes {
		rig.Kinds = append(rig.Kinds, profiles.Kind{Name: fmt.Sprint("k", i), Inputs: inputs})
	}
	for i, b := range d.banks {
		name := string(rune('A' + i))
		bank := profiles.Bank{Name: name, Kind: b.shape, First: len(rig.Voices), Size: b.size}
		for l := range b.lanes {
			bank.Lanes = append(bank.Lanes, fmt.Sprint("lane", l))
		}
		rig.Banks = append(rig.Banks, bank)
		for p := 1; p <= b.size; p++ {
			rig.Voices = append(rig.Voices, profiles.Voice{Name: profiles.VoiceName(name, p), Bank: i, Position: p,
				Keys: alloc.KeyRange{Low: 0, High: 127}})
		}
	}
	for i := range d.macros {
		rig.Macros = append(rig.Macros, profiles.Macro{Name: fmt.Sprint("macro", i), Controller: uint8(i), AnyPort: true, Channel: 15})
	}
	return rig
}

func face(name string, cvs, gates, outputs, connector int) profiles.Interface {
	return profiles.Interface{Name: name, CV: cvs, Gates: gates, Outputs: outputs, Connector: connector, Ports: 1,
		Window: profiles.Window{Low: 0, High: 5}, ZeroKey: 36, Scale: profiles.Scale{PerOctave: 1}, Bits: 16}
}

// drafts draws rigs with up to three interfaces.
func drafts() *rapid.Generator[draft] {
	return rapid.Custom(func(t *rapid.T) draft {
		var d draft
		for i := range rapid.IntRange(1, 3).Draw(t, "interfaces") {
			either := rapid.IntRange(0, 3).Draw(t, "either") == 0
			d.boxes = append(d.boxes, faces(fmt.Sprint("i", i), either).Draw(t, "interface"))
		}
		d.banks = rapid.SliceOfN(bankDrafts(), 1, 5).Draw(t, "banks")
		d.macros = rapid.IntRange(0, 4).Draw(t, "macros")
		return d
	})
}

// plainDrafts draws rigs without outputs beside CVs and gates: see pack.go.
func plainDrafts() *rapid.Generator[draft] {
	return rapid.Custom(func(t *rapid.T) draft {
		d := drafts().Draw(t, "rig")
		either := d.boxes[0].Outputs > 0
		for i := range d.boxes {
			d.boxes[i] = faces(d.boxes[i].Name, either).Draw(t, "interface")
		}
		return d
	})
}

func faces(name string, either bool) *rapid.Generator[profiles.Interface] {
	return rapid.Custom(func(t *rapid.T) profiles.Interface {
		connector := rapid.SampledFrom([]int{1, 2, 4, 8}).Draw(t, "connector")
		if either {
			return face(name, 0, 0, rapid.IntRange(1, 16).Draw(t, "outputs"), connector)
		}
		return face(name, rapid.IntRange(0, 16).Draw(t, "cvs"), rapid.IntRange(1, 16).Draw(t, "gates"), 0, connector)
	})
}

func bankDrafts() *rapid.Generator[bankDraft] {
	return rapid.Custom(func(t *rapid.T) bankDraft {
		return bankDraft{rapid.IntRange(1, 6).Draw(t, "size"), rapid.SampledFrom([]int{0, 0, 0, 1, 2, 3, 4}).Draw(t, "shape"),
			rapid.IntRange(0, 2).Draw(t, "lanes")}
	})
}

// pinned adds pins of voices' inputs and macros to jacks of the right kind,
// each jack and each lane at most once.
func (d draft) pinned(t *rapid.T) draft {
	held := map[profiles.Jack]bool{}
	for range rapid.IntRange(0, 4).Draw(t, "pins") {
		pin, ok := d.pin(t)
		if !ok {
			continue
		}
		jack := pin.Jack
		jack.Gate = jack.Gate && d.boxes[jack.Interface].Outputs == 0
		twice := slices.ContainsFunc(d.pins, func(p profiles.Pin) bool { return p.Macro == pin.Macro && p.To == pin.To })
		if !held[jack] && !twice {
			held[jack] = true
			d.pins = append(d.pins, pin)
		}
	}
	return d
}

// pin draws one; ok is false where its interface has no such jack.
func (d draft) pin(t *rapid.T) (pin profiles.Pin, ok bool) {
	rig := d.rig()
	box := rapid.IntRange(0, len(d.boxes)-1).Draw(t, "box")
	pin = profiles.Pin{Macro: -1, Jack: profiles.Jack{Interface: box}}
	if d.macros > 0 && rapid.Bool().Draw(t, "macro pin") {
		pin.Macro = rapid.IntRange(0, d.macros-1).Draw(t, "which macro")
	} else {
		v := rapid.IntRange(0, len(rig.Voices)-1).Draw(t, "voice")
		bank := rig.Voices[v].Bank
		pin.To = profiles.Target{Bank: bank, Voice: v, Input: rapid.SampledFrom(shapes[d.banks[bank].shape]).Draw(t, "input")}
		pin.Jack.Gate = pin.To.Input == "gate"
	}
	count := d.boxes[box].Jacks(pin.Jack.Gate)
	if count == 0 {
		return pin, false
	}
	pin.Jack.Number = rapid.IntRange(1, count).Draw(t, "jack")
	return pin, true
}

// smaller is the rig without one thing that it asks for. Pins name banks,
// voices and macros by number, so with pins only what they do not name goes.
func (d draft) smaller(t *rapid.T) draft {
	d.banks, d.pins = slices.Clone(d.banks), slices.Clone(d.pins)
	at := rapid.IntRange(0, len(d.banks)-1).Draw(t, "at")
	b := &d.banks[at]
	switch what := rapid.SampledFrom([]string{"bank", "voice", "lane", "input", "macro", "pin"}).Draw(t, "what"); {
	case what == "lane" && b.lanes > 0:
		b.lanes--
	case what == "pin" && len(d.pins) > 0:
		d.pins = slices.Delete(d.pins, 0, 1)
	case len(d.pins) > 0:
	case what == "bank" && len(d.banks) > 1:
		d.banks = slices.Delete(d.banks, at, at+1)
	case what == "voice" && b.size > 1:
		b.size--
	case what == "input" && b.shape == 1:
		b.shape = 0
	case what == "macro" && d.macros > 0:
		d.macros--
	}
	return d
}

// lesser are the rigs without one bank, voice, lane or macro.
func (d draft) lesser() (all []draft) {
	for i, b := range d.banks {
		for _, fewer := range []bankDraft{{b.size - 1, b.shape, b.lanes}, {b.size, b.shape, b.lanes - 1}} {
			less := d
			less.banks = slices.Clone(d.banks)
			less.banks[i] = fewer
			if fewer.size == 0 {
				less.banks = slices.Delete(less.banks, i, i+1)
			}
			if fewer.lanes >= 0 {
				all = append(all, less)
			}
		}
	}
	if d.macros > 0 {
		d.macros--
		all = append(all, d)
	}
	return all
}

// demand counts what a rig wants: voices with pitch and gate, and single lanes.
func (d draft) demand() (pairs, cvs, gates int) {
	cvs = d.macros
	for _, b := range d.banks {
		inputs := shapes[b.shape]
		pitch, gate := slices.Contains(inputs, "pitch"), slices.Contains(inputs, "gate")
		cvs += b.lanes
		switch {
		case pitch && gate:
			pairs += b.size
			cvs += b.size * (len(inputs) - 2)
		case gate:
			gates += b.size
		default:
			cvs += b.size
		}
	}
	return pairs, cvs, gates
}

// possible tries every number of pairs on every interface. Single lanes go
// anywhere, so of what is left only the numbers count.
func possible(boxes []profiles.Interface, pairs, cvs, gates, either int) bool {
	if len(boxes) == 0 {
		return pairs == 0 && max(0, cvs)+max(0, gates) <= either
	}
	f := boxes[0]
	for here := 0; here <= pairs; here++ {
		if f.Outputs > 0 && 2*here <= f.Outputs && possible(boxes[1:], pairs-here, cvs, gates, either+f.Outputs-2*here) ||
			f.Outputs == 0 && here <= min(f.CV, f.Gates) &&
				possible(boxes[1:], pairs-here, cvs-(f.CV-here), gates-(f.Gates-here), either) {
			return true
		}
	}
	return false
}
