package patchlist

import (
	"fmt"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
)

// Name is the jack as a rig writes it: main.cv 3.
func (j *Jack) Name(l *List) string {
	kind := "cv"
	if j.Gate {
		kind = "gate"
	}
	return fmt.Sprintf("%s.%s %d", l.Boxes[j.Box].Name, kind, j.Number)
}

// Rig writes a rig with the jacks of the list, under a name where the list has none.
// Said are sentences on what a rig cannot hold to; the error is of a list that makes
// no rig.
func (l *List) Rig(o profiles.StarterOptions) (data []byte, said []string, err error) {
	if l.Name != "" {
		o.Name = l.Name
	}
	o.Patch = &profiles.StarterPatch{Wires: l.wires()}
	for i := range l.Boxes {
		o.Patch.Boxes = append(o.Patch.Boxes, l.Boxes[i].starter(o.Profile))
	}
	for _, b := range l.Banks {
		bank := profiles.StarterBank{Name: b.Name, Voices: b.Voices, Inputs: b.Inputs, Lanes: b.Lanes, Out: b.Out, Remarks: b.Remarks}
		for _, n := range b.Spare {
			if !slices.Contains(b.Out, n) {
				bank.Spare = append(bank.Spare, n)
			}
		}
		for _, x := range b.Limited {
			bank.Limited = append(bank.Limited, profiles.StarterLimit{Position: x.Position, Keys: x.Keys})
		}
		o.Patch.Banks = append(o.Patch.Banks, bank)
	}
	for _, m := range l.Macros {
		from := fmt.Sprintf("CC %d on %d", m.Controller, m.Channel)
		if m.Port > 1 {
			from = fmt.Sprintf("CC %d on port %d channel %d", m.Controller, m.Port, m.Channel)
		}
		o.Patch.Macros = append(o.Patch.Macros, profiles.StarterMacro{Name: m.Name, From: from, To: m.To})
	}
	m, data, err := l.pinned(&o)
	if err != nil {
		return nil, nil, err
	}
	return data, l.elsewhere(m), nil
}

// starter is the box as a starter rig has it: with a profile where one is given, and
// else, where the table lists no free jacks, with the smallest built-in one that does.
func (b *Box) starter(profile string) profiles.StarterBox {
	s := profiles.StarterBox{Name: b.Name, CV: b.CV, Gates: b.Gates, Outputs: b.Outputs}
	give := func(key, format string, args ...any) {
		s.Given = append(s.Given, [2]string{key, fmt.Sprintf(format, args...)})
	}
	if profile != "" {
		s.Profile = profile
	} else if !b.Exact && !b.Audio && b.Outputs == 0 {
		if s.Profile = profiles.FittingInterface(max(b.CV, b.Gates)); s.Profile == "" {
			s.CV, s.Gates = max(b.CV, b.Gates), max(b.CV, b.Gates)
		}
	}
	if b.Connector > 0 && b.Connector != 8 {
		give("connector", "%d", b.Connector)
	}
	b.range_(give)
	if b.ZeroKey != nil && *b.ZeroKey != 36 {
		give("zero_key", "%d", *b.ZeroKey)
	}
	if b.Audio {
		give("link", "audio")
	}
	ports := 2
	if b.CV > 32 {
		ports = 4
	}
	if b.Ports > ports {
		give("ports", "%d", b.Ports)
	}
	return s
}

// range_ gives the volts of the keys in the table, where they leave 0 to 5 V, and the
// scale, where they are not a volt an octave.
func (b *Box) range_(give func(key, format string, args ...any)) {
	if len(b.volts) == 0 {
		return
	}
	low, high := b.volts[0], b.volts[0]
	for _, v := range b.volts {
		if v.key < low.key {
			low = v
		}
		if v.key > high.key {
			high = v
		}
	}
	if bottom, top := math.Floor(min(0, low.volts)), math.Ceil(max(5, high.volts)); bottom < 0 || top > 5 {
		give("window", "%g V to %g V", bottom, top)
	}
	if high.key > low.key {
		perOctave := math.Round(12000*(high.volts-low.volts)/float64(high.key-low.key)) / 1000
		if math.Abs(perOctave-1) > 0.002 && 0.1 <= perOctave && perOctave <= 10 {
			give("scale", "%g V/oct", perOctave)
		}
	}
}

// wires are the jacks that feed several inputs, and those that feed nothing else of
// the rig.
func (l *List) wires() []profiles.StarterWire {
	at := map[string][]string{}
	var order []string
	only := map[string]bool{}
	for i := range l.Jacks {
		j := &l.Jacks[i]
		name := j.Name(l)
		if at[name] == nil {
			order = append(order, name)
		}
		if j.Wired != nil {
			only[name] = true
			at[name] = append(at[name], j.Wired...)
			continue
		}
		at[name] = append(at[name], l.inputsOf(j)...)
	}
	var all []profiles.StarterWire
	for _, name := range order {
		if to := at[name]; len(to) > 1 && l.several(name) || only[name] {
			all = append(all, profiles.StarterWire{From: name, To: to})
		}
	}
	return all
}

// inputsOf are what a jack feeds: its input, or those of its macro.
func (l *List) inputsOf(j *Jack) []string {
	for _, m := range l.Macros {
		if m.Name == j.Target {
			return m.To
		}
	}
	return []string{j.Target}
}

// several tells whether several rows have the jack.
func (l *List) several(name string) bool {
	n := 0
	for i := range l.Jacks {
		if l.Jacks[i].Name(l) == name {
			n++
		}
	}
	return n > 1
}

// mostPasses is after how many looks every jack that is left is pinned.
const mostPasses = 4

// pinned adds pins until every input comes out of its jack: first of those that would
// come out of another, and again of what these displaced.
func (l *List) pinned(o *profiles.StarterOptions) (*routing.Map, []byte, error) {
	wired := map[string]bool{}
	for _, w := range o.Patch.Wires {
		for _, to := range w.To {
			wired[to] = true
		}
	}
	for passes := 0; ; {
		data := profiles.Starter(*o)
		rig, faults := profiles.Read("patch.yaml", data, nil)
		if len(faults) > 0 {
			return nil, nil, fmt.Errorf("the table makes no rig: %s: %s", faults[0].Path, faults[0].Message)
		}
		m := routing.NewMap(rig)
		lanes := map[string]*routing.Lane{}
		for _, x := range m.Lanes() {
			lanes[x.Name] = x
		}
		have := map[string]bool{}
		for _, p := range o.Patch.Pins {
			have[p.Target] = true
		}
		more := false
		passes++
		for i := range l.Jacks {
			j := &l.Jacks[i]
			x := lanes[j.Target]
			if x == nil || wired[j.Target] || have[j.Target] || passes < mostPasses && x.Fits() && rig.Interfaces[x.Interface].Name == l.Boxes[j.Box].Name &&
				x.Jack == j.Number && x.GateJack == j.Gate {
				continue
			}
			o.Patch.Pins = append(o.Patch.Pins, profiles.StarterPin{Target: j.Target, Jack: j.Name(l)})
			more = true
		}
		if !more {
			return m, data, nil
		}
	}
}

// elsewhere says which voices have another MIDI channel than in the table.
func (l *List) elsewhere(m *routing.Map) []string {
	at := map[string]*routing.Lane{}
	for _, x := range m.Lanes() {
		at[x.Name] = x
	}
	var voices []string
	first := ""
	for i := range l.Jacks {
		j := &l.Jacks[i]
		x := at[j.Target]
		if j.voice == nil || j.said == nil || x == nil || !x.Addressed || x.Input != "pitch" {
			continue
		}
		port, channel := int(x.Port)+1, int(x.Channel)+1
		if channel == j.said.channel && (j.said.port == 0 || j.said.port == port) {
			continue
		}
		name := m.Rig.Voices[x.Voice].Name
		if first == "" {
			first = fmt.Sprintf("%s is on port %d channel %d, and row %d has channel %d", name, port, channel, j.said.row, j.said.channel)
		}
		voices = append(voices, name)
	}
	if len(voices) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("Channels follow the order of voices, whatever the table has for %s: %s.", unit.Several(voices), first)}
}
