package profiles

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"choirloft/alloc"
)

// Starter returns a rig file to start from: ten to forty lines for up to
// twelve banks and three parts. Comments say what to measure. [Read] takes it
// without a fault, if the options pass Check.
//
// What is assumed stands behind a # with the value that is assumed, since what
// a rig says counts as measured.
func Starter(opt StarterOptions) []byte {
	w := starter{StarterOptions: opt.filled()}
	w.head()
	w.interfaces()
	w.voices()
	w.banks()
	w.parts()
	if w.Patch != nil {
		w.patchedJacks()
	}
	return w.out.Bytes()
}

// starter writes a starter rig.
type starter struct {
	StarterOptions
	out bytes.Buffer
}

func (w *starter) line(format string, args ...any) {
	fmt.Fprintf(&w.out, format, args...)
	w.out.WriteByte('\n')
}

func (w *starter) head() {
	w.line("# yaml-language-server: $schema=%s", w.Schema)
	w.line("# Values after a # are assumed: measure them, then take the # away.")
	w.line("rig: %s", Plain(w.Name))
	w.line("")
}

// measure is a value to be measured, and how.
type measure struct{ key, how string }

// measures writes values that are assumed, as the profile has them, or else
// the table.
func (w *starter) measures(folder, profile string, rows []row, all []measure) {
	for _, m := range all {
		value := profileText(folder, profile, m.key)
		for _, row := range rows {
			if row.key == m.key && value == "" {
				value = row.def
			}
		}
		w.line("    %-31s# %s", "# "+m.key+": "+value, m.how)
	}
}

// profileText is the text of a value in a built-in profile, or empty.
func profileText(folder, name, key string) string {
	if name == "" || isPath(name) {
		return ""
	}
	documents, err := split(builtinData(folder, name))
	if err != nil {
		panic("bug: " + err.Error())
	}
	if _, value := lookup(documents[0], key); value != nil {
		return value.Value
	}
	return ""
}

// interfaceMeasures are the values of an interface to be measured.
func interfaceMeasures() []measure {
	return []measure{
		{"zero_key", "key that gives 0 V"},
		{"output_resistance", "1 kohm x (volts open / volts into 1 kohm - 1); 0 ohm if inside the loop"},
		{"gate", "volts of a gate that is high, or S-trig for a short to ground"},
	}
}

func (w *starter) interfaces() {
	if w.Patch != nil {
		w.patchedBoxes()
		return
	}
	profile, boxes := w.Profile, 1
	if profile == "" {
		voices := w.Banks * w.Voices
		names := interfaceProfiles.names()
		largest := names[len(names)-1]
		i, _ := interfaceProfiles.builtin(largest)
		profile = FittingInterface(voices)
		if profile == "" {
			profile, boxes = largest, (voices+i.CV-1)/i.CV
		}
	}
	w.line("# The box between MIDI and the rack: a pitch CV and a gate for each voice.")
	w.line("interfaces:")
	w.line("  main:")
	w.line("    profile: %s", Plain(profile))
	w.measures("interfaces", profile, interfaceShape.rows(), interfaceMeasures())
	for i := 1; i < boxes; i++ {
		w.line("  main%d: {profile: %s}", i+1, profile)
	}
	w.line("")
}

func (w *starter) voices() {
	w.line("# One voice: oscillator, filter, VCA and envelope. Add measured: [release] if you did.")
	w.line("voices:")
	w.line("  own:")
	w.line("    profile: %s", w.Kind)
	w.measures("voices", w.Kind, kindShape.rows(), []measure{
		{"release", "gate off until 60 dB down: a stopwatch to silence, or 6.91 time constants"},
		{"pitch_resistance", "of the pitch input: its data sheet, or what a known resistor loses"},
		{"gate_threshold", "volts at the gate input at which the envelope starts"},
		{"group_pitch", "a bank's common pitch jack: sums, normalled, switched or none"},
		{"drift", "tuning error of one voice against a tuner"},
	})
	if w.Patch != nil {
		w.patchedKinds()
	}
	w.line("")
}

func (w *starter) banks() {
	w.line("# Banks end in one submixer each; K1 is voice 1 of bank K. Add out: [2] for a")
	w.line("# voice in repair, limited: {3: 40-76} for one that tracks only these keys.")
	w.line("banks:")
	if w.Patch != nil {
		w.patchedBanks()
		return
	}
	const perLine = 3
	if w.Banks <= 2*perLine {
		for i := range w.Banks {
			w.line("  %s", w.bank(i))
		}
		return
	}
	for i := range w.Banks {
		switch {
		case i == 0:
			w.out.WriteString("  {")
		case i%perLine == 0:
			w.out.WriteString(",\n   ")
		default:
			w.out.WriteString(", ")
		}
		w.out.WriteString(w.bank(i))
	}
	w.line("}")
}

func (w *starter) bank(i int) string {
	return fmt.Sprintf("%s: {voices: %d, kind: own}", bankAt(i), w.Voices)
}

func (w *starter) parts() {
	w.line("")
	if len(w.Parts) == 0 {
		w.line("# One part plays on all banks, from every channel but 10. For lines of their own:")
		w.line("# parts:")
		w.line("#   pad: {channel: 1, banks: [K]}")
		return
	}
	w.line("# Musical lines: what feeds them, and which banks they play on.")
	if len(w.Parts) > 1 && !slices.ContainsFunc(w.Parts, func(p StarterPart) bool { return len(p.Banks) > 0 }) {
		w.line("# All share all banks, which takes the fewest voices. To keep a part to one bank, add")
		w.line("# banks: [K] to it, and to the others the banks that are left.")
	}
	w.line("parts:")
	wishes := make([]string, len(w.Parts))
	for i, p := range w.Parts {
		wishes[i] = p.Name
	}
	names := PartNames(wishes)
	for i, p := range w.Parts {
		if comment := oneLine(p.Comment); comment != "" {
			w.line("  # %s", comment)
		}
		w.line("  %s: {%s}%s", Plain(names[i]), strings.Join(p.fields(), ", "), p.keyNames())
	}
	for _, remark := range w.Remarks {
		w.line("  # %s", oneLine(remark))
	}
}

// fields are the fields of the part as they are written.
func (p StarterPart) fields() []string {
	var all []string
	if len(p.Sources) > 0 || p.Zone != NoZone {
		all = append(all, "channel: "+(&Part{Sources: p.Sources, Zone: p.Zone, Members: p.Members}).Listens())
	}
	if p.hasKeys() {
		all = append(all, fmt.Sprintf("keys: %d-%d", p.Keys.Low, p.Keys.High))
	}
	if len(p.Banks) > 0 {
		var names []string
		for _, b := range p.Banks {
			names = append(names, bankAt(b))
		}
		all = append(all, "banks: ["+strings.Join(names, ", ")+"]")
	}
	if p.Mode != Poly {
		all = append(all, "mode: "+p.Mode.String())
	}
	switch {
	case p.Unison > maxUneven:
		all = append(all, fmt.Sprintf("unison: {voices: %d, law: golden}", p.Unison))
	case p.Unison > 1:
		all = append(all, fmt.Sprintf("unison: {voices: %d}", p.Unison))
	}
	return all
}

func (p StarterPart) hasKeys() bool { return p.Keys != alloc.KeyRange{} && p.Keys != allKeys }

// keyNames is a comment that names the keys.
func (p StarterPart) keyNames() string {
	if !p.hasKeys() {
		return ""
	}
	return "   # " + p.Keys.Low.Name(int(C4)) + "-" + p.Keys.High.Name(int(C4))
}
