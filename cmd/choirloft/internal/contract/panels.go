package contract

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
)

// Panel is an interface as one stands before it.
type Panel struct {
	Interface  string
	Title      string // what it is, and how it turns keys into volts
	Connectors []Connector
	Jacks      Table // a row for each input, by the jack that reaches it
}

// Connector is jacks of one kind that belong together.
type Connector struct {
	Connector int // from 1
	Kind      string
	Sockets   []Socket // by place
}

// Socket is a jack and what is plugged into it.
type Socket struct {
	Jack     int
	Kind     string
	Free     bool
	Head     string // the voice or the bank, or the macro's name
	Signal   string // pitch, gate, cutoff, macro
	Cable    string // number of the first
	Standing string // of the voice, as in [MapVoice.Standing]; empty where it is in
}

func (b mapper) panels(m *Map) (all []Panel) {
	for i := range b.rig.Interfaces {
		f := &b.rig.Interfaces[i]
		p := Panel{Interface: f.Name, Title: b.panelTitle(i), Jacks: Table{Columns: jackColumns(m)}}
		for _, gate := range []bool{false, true} {
			if gate && f.Outputs > 0 {
				break // one row of jacks that give either
			}
			p.Connectors = append(p.Connectors, b.connectors(m, i, gate)...)
		}
		for n := range b.m.Nets {
			if b.m.Nets[n].Interface == i {
				b.jackRows(&p.Jacks, m, &b.m.Nets[n])
			}
		}
		all = append(all, p)
	}
	return all
}

func (b mapper) panelTitle(i int) string { return b.boxes()[i].title[len("on "):] }

// connectors lists the jacks of one kind of an interface, by connector.
func (b mapper) connectors(m *Map, box int, gate bool) (all []Connector) {
	f := &b.rig.Interfaces[box]
	kind := jackKind(gate, f.Outputs > 0)
	for jack := 1; jack <= f.Jacks(gate); jack++ {
		if (jack-1)%f.Connector == 0 {
			all = append(all, Connector{Connector: (jack-1)/f.Connector + 1, Kind: kind})
		}
		s := Socket{Jack: jack, Kind: kind, Free: true}
		net := slices.IndexFunc(b.m.Nets, func(n routing.Net) bool {
			return n.Interface == box && n.Jack == jack && (n.GateJack == gate || f.Outputs > 0)
		})
		if net >= 0 {
			s = b.socket(m, &b.m.Nets[net], s)
		}
		last := &all[len(all)-1]
		last.Sockets = append(last.Sockets, s)
	}
	return all
}

// socket says what is plugged into a jack.
func (b mapper) socket(m *Map, n *routing.Net, s Socket) Socket {
	s.Free = false
	if c := m.cable(func(c *Cable) bool { return c.From == n.JackName(b.rig) }); c != nil {
		s.Cable = c.Number
	}
	inputs := n.Inputs()
	switch {
	case b.isMacro(n):
		s.Head, s.Signal = n.Lanes[0], "macro"
	case len(inputs) == 0:
		s.Head, s.Signal = n.Lanes[0], "-"
	default:
		first := inputs[0]
		s.Head, s.Signal = b.rig.Banks[first.Bank].Name, first.Input
		if first.Voice >= 0 {
			s.Head = b.rig.Voices[first.Voice].Name
			if v := &m.Voices[first.Voice]; len(inputs) == 1 && v.Standing() != stateNames[0] {
				s.Standing = v.Standing()
			}
		}
		if len(inputs) > 1 {
			s.Head += fmt.Sprintf(" +%d", len(inputs)-1)
		}
	}
	return s
}

func (b mapper) isMacro(n *routing.Net) bool {
	return slices.ContainsFunc(b.m.Macros, func(l routing.Lane) bool { return l.Name == n.Lanes[0] })
}

// referenceKey is that at which the sheet gives volts: middle C, where any
// voice reaches it.
func (m *Map) referenceKey() int {
	const middle = 60
	lowest := -1
	for i := range m.Voices {
		for _, x := range m.Voices[i].VoltsAt {
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

func jackColumns(m *Map) []TableColumn {
	key := m.referenceKey()
	return []TableColumn{{"Jack", 8, false}, {"Conn.", 5, false}, {"Port", 4, true}, {"Ch.", 3, true}, {"Message", 8, false},
		{"Signal", 8, false}, {"Voice", 6, false}, {"No.", 3, true}, {"Bank", 6, false}, {"Pos.", 4, true}, {"Input", 10, false},
		{"Via", 10, false}, {"Cable", 6, false}, {"Length", 7, true}, {"Colour", 6, false},
		{fmt.Sprintf("V at %s (%d)", KeyName(key, m.middleC), key), 10, true}}
}

// jackRows adds a row for each input that a jack reaches.
func (b mapper) jackRows(t *Table, m *Map, n *routing.Net) {
	for i := range n.Branches {
		for _, in := range n.Branches[i].Inputs {
			b.jackRow(t, m, n, &n.Branches[i], in)
		}
	}
}

func (b mapper) jackRow(t *Table, m *Map, n *routing.Net, way *routing.Branch, in routing.Input) {
	j := b.jack(&n.Outlet)
	port, channel := j.address()
	message, signal, volts := unit.None, in.Input, unit.None
	if j.Message != nil {
		message = *j.Message
	}
	if b.isMacro(n) {
		signal = n.Lanes[0]
	}
	voice, number, position := unit.None, unit.None, unit.None
	if in.Voice >= 0 {
		v := &m.Voices[in.Voice]
		voice, number, position = v.Name, strconv.Itoa(v.Voice), strconv.Itoa(v.Position)
		if in.Input == "pitch" {
			volts = v.voltsAt(m.referenceKey())
		}
	}
	cable, length, colour := unit.None, unit.None, unit.None
	if c := m.cable(func(c *Cable) bool { return c.To == in.Name(b.rig) }); c != nil {
		cable, length, colour = c.Number, c.length(), c.Colour
	}
	t.add("", j.label(), j.connector(), port, channel, message, signal, voice, number,
		b.rig.Banks[in.Bank].Name, position, in.Input, b.via(m, n, way), cable, length, colour, volts)
}

// via names what lies between a jack and its inputs: a multiple, with the cable
// that leads into it, and modules.
func (b mapper) via(m *Map, n *routing.Net, way *routing.Branch) string {
	var words []string
	if way.Through != profiles.Direct {
		word := "multiple"
		if way.Through == profiles.Buffered {
			word = "buffer"
		}
		if c := m.cable(func(c *Cable) bool { return c.From == n.JackName(b.rig) }); c != nil {
			word += " " + c.Number
		}
		words = append(words, word)
	}
	for _, at := range b.rig.Way(way.Via) {
		words = append(words, b.rig.Gear[at].Name)
	}
	if len(words) == 0 {
		return unit.None
	}
	return strings.Join(words, ", ")
}

// cable is the first that passes; nil if none does.
func (m *Map) cable(passes func(*Cable) bool) *Cable {
	for i := range m.Cables {
		if passes(&m.Cables[i]) {
			return &m.Cables[i]
		}
	}
	return nil
}

// length is that in stock, or what it has to be.
func (c *Cable) length() string {
	switch {
	case c.StockCM != nil:
		return strconv.Itoa(*c.StockCM) + " cm"
	case c.LengthMM != nil:
		return strconv.FormatFloat(*c.LengthMM/10, 'f', 0, 64) + " cm"
	}
	return unit.None
}

// voltsAt prints the volts at a key to 1 mV.
func (v *MapVoice) voltsAt(key int) string {
	for _, x := range v.VoltsAt {
		if int(x.Key) == key {
			return strconv.FormatFloat(float64(x.Volts), 'f', 3, 64)
		}
	}
	return unit.None
}

// Panels are the interfaces, in the order of the rig.
func (m *Map) Panels() []Panel { return m.panels }
