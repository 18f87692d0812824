// Package wild draws rig files for tests: most are read without faults, and many are patched
// in odd ways. [Rig] draws one. Nothing but tests calls it.
package wild

import (
	"fmt"
	"slices"
	"strings"

	"pgregory.net/rapid"

	"choirloft/profiles"
)

// Size bounds what is drawn; pairs are at least and at most.
type Size struct {
	Banks  [2]int
	InBank [2]int   // voices of a bank
	Voices int      // of all banks at most
	Names  []string // of all things; none for short ones that are always the same
	// Played draws parts with unisons, voices that are out, limited or spare, and jacks
	// for all voices beside interfaces that are too small.
	Played bool
}

// Small is three banks of two or three voices, short of jacks, with the names K, L and M.
var Small = Size{Banks: [2]int{3, 3}, InBank: [2]int{2, 3}, Voices: 9}

// draft is a rig file in the making.
type draft struct {
	*rapid.T
	Size
	text   strings.Builder
	banks  []string
	voices []int // of each bank
	taken  map[string]bool
}

// Rig draws a rig file: short of jacks, with lanes for the pitches and gates of whole banks,
// macros on pitches, wires from anywhere to anywhere, pins, modules and set-ups.
func Rig(t *rapid.T, s Size) string {
	d := &draft{T: t, Size: s, taken: map[string]bool{}}
	for n := d.number("banks", s.Banks[0], s.Banks[1]); len(d.banks) < n; {
		d.banks = append(d.banks, d.name("bank", profiles.BankName(len(d.banks))))
		left := s.Voices - sum(d.voices) - (n - len(d.banks))
		d.voices = append(d.voices, d.number("voices", min(s.InBank[0], left), min(s.InBank[1], left)))
	}
	main, two, seq := d.name("interface", "main"), d.name("interface", "two"), d.name("sequencer", "seq")
	d.say("rig: %s\n", d.name("rig", "R"))
	d.interfaces(main, two)
	d.say("sequencers: {%s: {parts: 3}}\nvoices: {k: {group_pitch: %s}, l: {group_pitch: %s, inputs: [pitch, gate, velocity]}}\nbanks:\n", seq,
		d.pick("group", "none", "sums", "normalled", "switched"), d.pick("group", "none", "sums", "normalled", "switched"))
	for i := range d.banks {
		d.bank(i)
	}
	if s.Played {
		d.parts()
	}
	macro := d.name("macro", "n")
	d.say("macros: {%s: {from: CC 1 on 1, to: %s}, %s: {from: CC 2 on 1, to: %s}}\n", d.name("macro", "m"), d.targets(), macro, d.targets())
	if rapid.Bool().Draw(t, "wired") {
		d.wiring(main, two)
	}
	if rapid.Bool().Draw(t, "pinned") {
		d.say("pins: {%s1.pitch: %s.cv 2, %s: %s.cv 4}\n", d.banks[len(d.banks)-1], two, macro, main)
	}
	d.setUps(main, two, seq)
	return d.text.String()
}

func (d *draft) say(format string, args ...any) { fmt.Fprintf(&d.text, format, args...) }

func (d *draft) pick(what string, from ...string) string {
	return rapid.SampledFrom(from).Draw(d.T, what)
}

func (d *draft) number(what string, low, high int) int {
	return rapid.IntRange(low, high).Draw(d.T, what)
}

// name draws one that nothing else has; a letter is put behind those that something has.
func (d *draft) name(what, usual string) string {
	if len(d.Names) == 0 {
		return usual
	}
	name := d.pick(what, append([]string{usual}, d.Names...)...)
	for i := 0; d.taken[name]; i++ {
		name = fmt.Sprintf("%.38s_%c", name, 'a'+i)
	}
	d.taken[name] = true
	return name
}

func (d *draft) interfaces(main, two string) {
	profile := "profile: " + d.pick("main", "cv4-gate4", "cv8-gate8", "audio-dc8", "cv16-gate16")
	if d.Played && d.number("roomy", 0, 3) > 0 {
		n := sum(d.voices) + d.number("jacks over", 0, 3*len(d.banks))
		profile = fmt.Sprintf("cv: %d, gates: %d, ports: %d, connector: %s", n, n, n/16+1, d.pick("connector", "1", "4", "8", "16"))
	}
	d.say("interfaces: {%s: {%s, window: %s}, %s: {profile: %s}}\n", main, profile, d.pick("window", "0 V to 5 V", "1 V to 6 V"), two, d.pick("two", "cv4-gate4", "audio-dc8"))
}

func (d *draft) bank(i int) {
	states := ""
	if d.Played && d.voices[i] > 2 {
		states = d.pick("states", "", "", ", out: [1]", ", out: [2], limited: {1: 40-76}", ", out: [1], spare: [2], use_spare: true", ", spare: [1]")
	}
	d.say("  %s: {voices: %d, kind: %s%s%s}\n", d.banks[i], d.voices[i], d.pick("kind", "k", "l"),
		d.pick("lanes", "", ", lanes: [cutoff]", ", lanes: [pitch]", ", lanes: [gate, cutoff]"), states)
}

// parts draws a part for all banks and up to two for some.
func (d *draft) parts() {
	d.say("parts:\n")
	for i := range d.number("parts", 1, 3) {
		d.say("  %s: {channel: %d", d.name("part", fmt.Sprint("p", i)), i+1)
		banks := d.banks
		if i > 0 {
			banks = banks[:d.number("banks of the part", 1, len(banks))]
			d.say(", banks: [%s]", strings.Join(banks, ", "))
		}
		if of := d.number("unison", 1, 5); of > 1 && sum(d.voices[:len(banks)]) >= 2*of {
			d.say(", unison: {voices: %d, law: %s, detune: %s, when_short: %s}", of, d.pick("law", "even", "uneven", "golden"),
				d.pick("detune", "position", "voice"), d.pick("short", "blocks", "blocks", "thin", "wait", "elastic"))
		}
		d.say("}\n")
	}
}

// targets draws inputs of banks and of voices, each once.
func (d *draft) targets() string {
	var of, all []string
	for i := range d.banks[:min(3, len(d.banks))] {
		of = append(of, d.banks[i], d.banks[i]+"1")
	}
	if d.voices[0] > 1 {
		of = append(of, d.banks[0]+"2")
	}
	for range d.number("targets", 1, 3) {
		if x := d.pick("of", of...) + "." + d.pick("input", "pitch", "gate", "cutoff"); !slices.Contains(all, x) {
			all = append(all, x)
		}
	}
	return "[" + strings.Join(all, ", ") + "]"
}

func (d *draft) wiring(main, two string) {
	module := d.name("module", "x")
	d.say("gear: {%s: {does: %s}}\nwiring:\n", module, d.pick("does", "adder", "gate-or", "passive", "buffered 4"))
	for n := range d.number("wires", 1, 3) {
		d.say("  - {from: %s.%s %d, through: %s, to: %s}\n", main, d.pick("jack", "cv", "gate"), n+1, d.pick("through", "direct", "passive", "buffered 2"), d.targets())
	}
	if rapid.Bool().Draw(d.T, "module") {
		d.say("  - {from: %s.cv 1, to: %s}\n  - {from: %s, to: %s}\n", two, module, module, d.targets())
	}
}

func (d *draft) setUps(main, two, seq string) {
	d.say("set_ups:\n  %s: {from: [%s, %s]}\n  %s: {from: %s}\n", d.name("set-up", "studio"), main, two, d.name("set-up", "half"), two)
	for n := range 2 {
		parts := "1: " + d.banks[0]
		if n > 0 && len(d.banks) > 1 {
			parts += ", 3: [" + strings.Join(d.banks[1:min(3, len(d.banks))], ", ") + "]"
		}
		d.say("  %s: {from: %s, parts: {%s}, gates: %s, through: %s%s}\n", d.name("set-up", fmt.Sprint("stage", n)), seq, parts, d.pick("gates", "or", "multiples"),
			d.pick("by", "passive", "buffered 2"), d.pick("pitches", "", ", pitches: multiples"))
	}
}

func sum(list []int) (all int) {
	for _, n := range list {
		all += n
	}
	return all
}
