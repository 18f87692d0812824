package say

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Panel is an interface as one stands before it: the words of a drawing.
type Panel struct{ Connectors []Connector }

// Connector is jacks of one kind that belong together.
type Connector struct {
	Connector int    // from 1
	Kind      string // cv, gate, output
	Sockets   []Socket
}

// Free tells whether no jack of a connector has a cable.
func (c *Connector) Free() bool {
	return !slices.ContainsFunc(c.Sockets, func(s Socket) bool { return !s.Free })
}

// Undrawn are the jacks of connectors without a cable, in words; empty for none.
func (p *Panel) Undrawn() string {
	var words []string
	for _, kind := range []string{"cv", "gate", "output"} {
		var free []int
		for i := range p.Connectors {
			if c := &p.Connectors[i]; c.Kind == kind && c.Free() {
				for j := range c.Sockets {
					free = append(free, c.Sockets[j].Jack)
				}
			}
		}
		if len(free) > 0 {
			words = append(words, doorKinds[kind]+" "+strings.Join(unit.Runs(free), ", "))
		}
	}
	return strings.Join(words, "; ")
}

// Socket is a jack and what is plugged into it.
type Socket struct {
	Jack     int // from 1
	Kind     string
	Free     bool
	Head     string // the voice or the bank, or the macro's name
	To       string // all voices and banks that it leads to, where it leads to several inputs
	Signal   string // pitch, gate, cutoff, macro
	Cable    string // name of the first
	Colour   string // of that; empty where it serves several banks
	Moves    string // of a macro: macro: K+L resonance; empty where it moves inputs of several names
	Standing string // of the voice, such as OUT; empty where it is in
}

// Panels are the interfaces of a map, in the order of the rig.
func Panels(m *contract.Map) []Panel {
	c, all := newChart(m), make([]Panel, len(m.Interfaces))
	for i := range all {
		f := &m.Interfaces[i]
		if f.Outputs > 0 { // one row of jacks that give either
			all[i].Connectors = c.connectors(f, "output", f.Outputs)
			continue
		}
		all[i].Connectors = append(c.connectors(f, "cv", f.CV), c.connectors(f, "gate", f.Gates)...)
	}
	return all
}

// connectors lists the jacks of one kind of an interface.
func (c *chart) connectors(f *contract.Interface, kind string, jacks int) (all []Connector) {
	paths := map[int]*contract.Path{}
	for i := range c.Paths {
		if p := &c.Paths[i]; p.Interface == f.Name && p.Kind == kind {
			paths[p.Jack] = p
		}
	}
	for n := 1; n <= jacks; n++ {
		if (n-1)%f.PerConnector == 0 {
			all = append(all, Connector{Connector: (n-1)/f.PerConnector + 1, Kind: kind})
		}
		s := Socket{Jack: n, Kind: kind, Free: true}
		if p := paths[n]; p != nil {
			s = c.socket(p, s)
		}
		last := &all[len(all)-1]
		last.Sockets = append(last.Sockets, s)
	}
	return all
}

// socket says what is plugged into a jack.
func (c *chart) socket(p *contract.Path, s Socket) Socket {
	s.Free = false
	if cable := c.cableFrom(p); cable != nil {
		s.Cable, s.Colour = cable.Number, cable.Colour
	}
	var inputs []string
	for _, b := range p.Branches {
		inputs = append(inputs, b.Inputs...)
	}
	switch {
	case c.macro[p.Lanes[0]]:
		s.Head, s.Signal, s.Moves = p.Lanes[0], "macro", c.macroMoves(inputs)
	case len(inputs) == 0:
		s.Head, s.Signal = p.Lanes[0], unit.None
	default:
		of, input := splitInput(inputs[0])
		s.Head, s.Signal = of, input
		if v := c.voiceOf[of]; v != nil && len(inputs) == 1 {
			s.Standing = mapVoice{v}.mark(c.MiddleC)
		}
		if len(inputs) > 1 {
			s.Head += fmt.Sprintf(" +%d", len(inputs)-1)
			s.To = c.destinations(inputs)
		}
	}
	return s
}

// macroMoves are the inputs that a macro moves, if they have one name: macro: K+L resonance.
func (c *chart) macroMoves(inputs []string) string {
	name, banks := "", map[string]bool{}
	for _, in := range inputs {
		of, input := splitInput(in)
		if name != "" && name != input {
			return ""
		}
		name, banks[of] = input, c.isBank(of)
	}
	switch to := c.destinations(inputs); {
	case name == "":
		return ""
	case len(banks) > 2 && len(banks) == len(c.Banks) && !slices.Contains(slices.Collect(maps.Values(banks)), false):
		return "macro: " + name + " of all banks"
	default:
		return "macro: " + to + " " + name
	}
}

// mark is the standing of a voice that is not simply in, else empty.
func (v mapVoice) mark(middleC int) string {
	if standing := v.standing(middleC); standing != serving {
		return standing
	}
	return ""
}

// destinations names all voices and banks that inputs are of: K1-K4 where they follow each
// other in a bank, else K+L.
func (c *chart) destinations(inputs []string) string {
	var names []string
	inRow := true
	for i, input := range inputs {
		of, _ := splitInput(input)
		if slices.Contains(names, of) {
			continue
		}
		if names = append(names, of); i > 0 {
			v, before := c.voiceOf[of], c.voiceOf[names[len(names)-2]]
			inRow = inRow && v != nil && before != nil && v.Bank == before.Bank && v.Position == before.Position+1
		}
	}
	if inRow && len(names) > 2 {
		return names[0] + "-" + names[len(names)-1]
	}
	return strings.Join(names, "+")
}

// splitInput cuts the name of an input into that of its voice or bank and its
// own: K1.pitch.
func splitInput(name string) (of, input string) {
	at := strings.LastIndexByte(name, '.')
	return name[:max(at, 0)], name[at+1:]
}

// cableFrom is the first cable out of a jack; nil where none is. One that gives
// a CV or a gate is named by what it gives.
func (c *chart) cableFrom(p *contract.Path) *contract.Cable {
	kinds := []string{p.Kind}
	if p.Kind == "output" {
		kinds = []string{"cv", "gate"}
	}
	for _, kind := range kinds {
		if cable := c.from[fmt.Sprintf("%s %s %d", p.Interface, kind, p.Jack)]; cable != nil {
			return cable
		}
	}
	return nil
}

// cableNames explains the names of cables: where an output gives either signal, it has the number of that output.
func (c *chart) cableNames() doc.Aside {
	either := 0
	for i := range c.Interfaces {
		if c.Interfaces[i].Outputs > 0 {
			either++
		}
	}
	text := "A cable has the name of its jack: "
	const apart, numbered = "cv12 comes out of CV jack 12, gt3 out of gate jack 3. ", "cv12 brings a CV out of output 12, gt3 a gate out of output 3. "
	switch either {
	case 0:
		text += apart
	case len(c.Interfaces):
		text += numbered
	default:
		text += apart + "Where outputs give either, " + numbered
	}
	return doc.Aside{Text: text + "On the far side of a multiple or a module they are cv12/1, cv12/2. Before a colon stands another box than the first: box2:cv12. " +
		"Colour tells the bank, never the signal. Length and colour are a proposal."}
}

// jacks say what is plugged into an interface.
func (c *chart) jacks(i int) []doc.Block {
	f := &c.Interfaces[i]
	key := c.referenceKey()
	title, volts := c.interfaceTitle(f)+".", c.commonVolts(f, key)
	if volts != "" {
		title += fmt.Sprintf(" %s is %s V on every pitch jack.", c.keyAndNumber(key), volts)
	}
	blocks := []doc.Block{doc.Paragraph{Text: title}}
	if !OnDoor(c.Map) {
		if free := Panels(c.Map)[i].Undrawn(); free != "" {
			blocks = append(blocks, doc.Aside{Text: "Connectors without a cable are not drawn: " + free + "."})
		}
		blocks = append(blocks, doc.Figure{Name: Numbered(FigureJacks, i)})
	}
	if i == 0 {
		blocks = append(blocks, c.cableNames())
	}
	return append(blocks, c.jackTable(f, key, volts == ""))
}

func (c *chart) keyAndNumber(key int) string {
	return fmt.Sprintf("%s (%d)", contract.KeyName(key, c.MiddleC), key)
}

// commonVolts are the volts at a key of the pitch jacks of an interface, if these are the
// same for all and there are several; else nothing.
func (c *chart) commonVolts(f *contract.Interface, key int) (common string) {
	voices := 0
	for i := range c.Voices {
		v := &c.Voices[i]
		if v.Pitch == nil || v.Pitch.Interface != f.Name {
			continue
		}
		volts := voltsAt(v, key)
		if volts == unit.None || voices > 0 && volts != common {
			return ""
		}
		common = volts
		voices++
	}
	if voices < 2 {
		return ""
	}
	return common
}

// jackTable has a row for each cable of an interface, by the jack that it comes out of.
func (c *chart) jackTable(f *contract.Interface, key int, volts bool) doc.Table {
	places := words("connector of a kind")
	if f.Outputs > 0 {
		places = words("connector")
	}
	t := doc.Table{Columns: []doc.Column{words("cable"), words("leads to"), words("macro").Ranked(4), words("port and channel"), words("message").Ranked(3),
		places.Ranked(5), words("via").Ranked(2), number("length").Ranked(6), words("colour").Ranked(7)}}
	if volts {
		t.Columns = append(t.Columns, number("volts at a key", c.keyAndNumber(key)).Ranked(1))
	}
	for i := range c.Paths {
		p := &c.Paths[i]
		if p.Interface != f.Name {
			continue
		}
		for _, x := range c.intoMultiples(p) {
			t.Row("", c.cableCells(p, x, intoWord(x.To), buffered(p), unit.None)[:len(t.Columns)]...)
		}
		for j := range p.Branches {
			for _, input := range p.Branches[j].Inputs {
				of, name := splitInput(input)
				at := unit.None
				if v := c.voiceOf[of]; v != nil && name == "pitch" && volts {
					at = voltsAt(v, key)
				}
				t.Row("", c.cableCells(p, c.to[input], of+" "+name, cmp.Or(strings.Join(p.Branches[j].Via, ", "), unit.None), at)[:len(t.Columns)]...)
			}
		}
	}
	return t
}

// cableCells are the row of a cable; of a jack alone where there is none.
func (c *chart) cableCells(p *contract.Path, x *contract.Cable, to, via, volts string) []string {
	j := c.laneOf[p.Lanes[0]]
	midi, macro, name, length, colour := c.addressed(j), unit.None, jackName(j), unit.None, unit.None
	if macros := c.macrosOn(p); len(macros) > 0 {
		macro = strings.Join(macros, ", ")
	}
	if x != nil {
		name, length, colour = x.Number, cableLength(x), cmp.Or(x.Colour, unit.None)
	}
	return []string{name, to, macro, midi, controlMessage(j), connector(j), via, length, colour, volts}
}

// macrosOn are the macros that move a jack, which may share it with a voice.
func (c *chart) macrosOn(p *contract.Path) (names []string) {
	for _, lane := range p.Lanes {
		if c.macro[lane] {
			names = append(names, lane)
		}
	}
	return names
}

// controlMessage is what moves a jack other than notes.
func controlMessage(j *contract.Jack) string {
	if m := message(j); m != "note" {
		return m
	}
	return unit.None
}

// buffered says so of a jack whose multiple is.
func buffered(p *contract.Path) string {
	if slices.ContainsFunc(p.Branches, func(b contract.Branch) bool { return b.Through == "buffered" }) {
		return "buffered"
	}
	return unit.None
}

// intoMultiples are the cables of a jack that lead into multiples and modules, from the jack
// or from others of these.
func (c *chart) intoMultiples(p *contract.Path) (all []*contract.Cable) {
	first := c.cableFrom(p)
	for i := range c.Cables {
		x := &c.Cables[i]
		if first == nil || x.From != first.From && !strings.HasPrefix(x.Number, first.Number+"/") {
			continue
		}
		if of, _ := splitInput(x.To); c.voiceOf[of] == nil && !c.isBank(of) {
			all = append(all, x)
		}
	}
	return all
}

// isBank tells whether a bank has that name.
func (c *chart) isBank(name string) bool {
	return slices.ContainsFunc(c.Banks, func(b contract.MapBank) bool { return b.Name == name })
}

// intoWord is where a cable leads: multiple for one at a jack, whose name the row has already.
func intoWord(to string) string {
	word, _, _ := strings.Cut(to, " at ")
	return word
}

// referenceKey is that at which the sheet gives volts: middle C, or where no
// voice reaches it the lowest of the first that reaches any.
func (c *chart) referenceKey() int {
	const middle = 60
	lowest := -1
	for i := range c.Voices {
		for _, x := range c.Voices[i].VoltsAt {
			if x.Key == middle {
				return middle
			}
			if lowest < 0 {
				lowest = int(x.Key)
			}
		}
	}
	return max(lowest, 0)
}

// schedule has a row for each cable of every set-up, by the jack that it comes out of, and
// the set-ups in which it is plugged.
func (c *chart) schedule() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("cable"), words("comes from").Folds(12), words("leads to").Folds(12), words("set-ups"), number("length").Ranked(1),
		words("colour").Ranked(2)}}
	for _, x := range slices.Concat(c.Cables, c.SetUpCables) {
		from, to := EndsOf(&x)
		t.Row("", x.Number, from, to, c.setUps(&x), cableLength(&x), cmp.Or(x.Colour, unit.None))
	}
	return t
}

// setUps names the set-ups in which a cable is plugged: all without any, and in all.
func (c *chart) setUps(x *contract.Cable) string {
	if len(x.SetUps) == len(c.SetUps) {
		return "all"
	}
	return cmp.Or(strings.Join(x.SetUps, ", "), unit.None)
}

// voltsAt prints the volts at a key to 1 mV.
func voltsAt(v *contract.MapVoice, key int) string {
	for _, x := range v.VoltsAt {
		if int(x.Key) == key {
			return strconv.FormatFloat(float64(x.Volts), 'f', 3, 64)
		}
	}
	return unit.None
}

// cableLength is that in stock, or what it has to be.
func cableLength(c *contract.Cable) string {
	switch {
	case c.StockCM != nil:
		return strconv.Itoa(*c.StockCM) + " cm"
	case c.LengthMM != nil:
		return strconv.FormatFloat(*c.LengthMM/10, 'f', 0, 64) + " cm"
	}
	return unit.None
}
