package contract

import (
	"choirloft/profiles/unit"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// BankFace is a bank as one stands before it.
type BankFace struct {
	Bank   string
	Voices []VoiceFace
	Common []string // jacks of the whole bank, with what reaches them
}

// VoiceFace is a voice of a bank.
type VoiceFace struct {
	Name   string
	Number int // from 1
	State  string
	// Standing is the state in words, with keys; empty where the voice is in.
	Standing string
	Pitch    string // jack; empty without, as is what follows
	Gate     string
	PitchBy  string // number of the cable
	GateBy   string
	Detune   []string // and pan, in each part with a unison
	Parts    string
}

// Faces are the banks in the order of the rig.
func (m *Map) Faces() []BankFace {
	var faces []BankFace
	for i := range m.Voices {
		v := &m.Voices[i]
		if n := len(faces); n == 0 || faces[n-1].Bank != v.Bank {
			faces = append(faces, BankFace{Bank: v.Bank, Common: m.common(v.Bank)})
		}
		last := &faces[len(faces)-1]
		last.Voices = append(last.Voices, m.face(v))
	}
	return faces
}

func (m *Map) face(v *MapVoice) VoiceFace {
	f := VoiceFace{Name: v.Name, Number: v.Voice, State: v.State, PitchBy: m.cableTo(v.Name + ".pitch"),
		GateBy: m.cableTo(v.Name + ".gate"), Detune: v.detunes(), Parts: strings.Join(v.parts(), ", ")}
	if v.Pitch != nil {
		f.Pitch = v.Pitch.on(m)
	}
	if v.Gate != nil {
		f.Gate = v.Gate.on(m)
	}
	if v.Standing() != stateNames[0] {
		f.Standing = v.Standing()
	}
	return f
}

// detunes lists detune and pan; with the part, where parts do not agree.
func (v *MapVoice) detunes() (lines []string) {
	for i := range v.Seats {
		s := &v.Seats[i]
		if s.Unison.Of < 2 {
			continue
		}
		line := "unison " + varies
		switch {
		case s.idle:
			line = "idle"
		case s.DetuneCents != nil:
			line = unit.Signed(*s.DetuneCents) + "  " + Pan(*s.Pan)
		}
		if v.agree {
			return []string{line}
		}
		lines = append(lines, line+"  "+s.Part)
	}
	return lines
}

// on names a jack, with its interface where there are several.
func (j *Jack) on(m *Map) string {
	if j == nil || len(m.boxes) < 2 {
		return j.label()
	}
	return j.Interface + " " + j.label()
}

// cableTo is the number of the cable that ends in an input.
func (m *Map) cableTo(input string) string {
	if c := m.cable(func(c *Cable) bool { return c.To == input }); c != nil {
		return c.Number
	}
	return ""
}

// common lists what reaches the jacks of a whole bank.
func (m *Map) common(bank string) (lines []string) {
	for _, c := range m.Cables {
		if input, ok := strings.CutPrefix(c.To, bank+"."); ok {
			lines = append(lines, input+" "+c.Number)
		}
	}
	return lines
}

// BankTable has a row a voice, or several where its parts do not agree, by bank: what it does in a unison, and how far its pitch may stray.
func (m *Map) BankTable() Table {
	t := Table{Columns: []TableColumn{{"No.", 3, true}, {"Voice", 6, false}, {"State", 12, false}, {"Pitch", 8, false}, {"Gate", 8, false},
		{"Part", 12, false}, {"Stack", 5, true}, {"Pos.", 4, true}, {"Of", 2, true}, {"Detune", 7, true}, {"Spread", 7, true},
		{"Pan", 6, true}, {"Strays", 7, true}}}
	for i := range m.Voices {
		v := &m.Voices[i]
		head := []string{strconv.Itoa(v.Voice), v.Name, v.Standing(), v.Pitch.on(m), v.Gate.on(m)}
		strays := unit.None
		if v.Budget != nil {
			strays = unit.Tenths(v.Budget.RMSCents)
		}
		rows := m.seatRows(v)
		if len(rows) == 0 {
			rows = [][]string{{unit.None, unit.None, unit.None, unit.None, unit.None, unit.None, unit.None}}
		}
		for _, row := range rows {
			t.add("Bank "+v.Bank, append(append(slices.Clone(head), row...), strays)...)
			head, strays = []string{"", "", "", "", ""}, ""
		}
	}
	return t
}

// seatRows has a row for each place of a voice, with the parts in which it has
// that.
func (m *Map) seatRows(v *MapVoice) (rows [][]string) {
	for i := range v.Seats {
		s := &v.Seats[i]
		cells := m.seatCells(s)
		at := slices.IndexFunc(rows, func(row []string) bool { return slices.Equal(row[1:], cells) })
		if at < 0 {
			rows = append(rows, append([]string{s.Part}, cells...))
		} else {
			rows[at][0] += ", " + s.Part
		}
	}
	return rows
}

func (v *MapVoice) parts() (names []string) {
	for i := range v.Seats {
		names = append(names, v.Seats[i].Part)
	}
	return names
}

// seatCells are stack, position, size, detune, spread and pan of a seat.
func (m *Map) seatCells(s *Seat) []string {
	cells := []string{unit.None, unit.None, strconv.Itoa(s.Unison.Of), unit.None, unit.None, unit.None}
	if s.Unison.Of < 2 {
		return cells
	}
	if s.idle {
		cells[3] = "idle"
		return cells
	}
	if s.Unison.Stack != nil {
		cells[0] = strconv.Itoa(*s.Unison.Stack)
	}
	if s.Unison.Position != nil {
		cells[1] = strconv.Itoa(*s.Unison.Position)
	}
	cells[3], cells[5] = varies, varies
	if s.DetuneCents != nil {
		cells[3], cells[5] = unit.Signed(*s.DetuneCents), Pan(*s.Pan)
	}
	if u := slices.IndexFunc(m.Unisons, func(u Unison) bool { return u.Part == s.Part }); u >= 0 {
		cells[4] = unit.Tenths(m.Unisons[u].SpreadCents)
	}
	return cells
}

// BankNotes say what the columns of [Map.BankTable] mean.
func (m *Map) BankNotes() []string {
	return []string{"Detune, spread (lowest to highest of a stack) and strays (how far the pitch may be off, rms) are in cents; " +
		"pan is in per cent of the way to the left or right."}
}

// CableLabel is what the two flags of a cable say.
type CableLabel struct {
	Number, From, To string
	Kind             string // colour and length
}

// CableLabels lists the labels of all cables, by number of their jack.
func (m *Map) CableLabels() []CableLabel {
	labels := make([]CableLabel, len(m.Cables))
	for i, c := range m.Cables {
		kind := c.Colour
		if c.StockCM != nil {
			kind += fmt.Sprintf(" %d cm", *c.StockCM)
		}
		short := strings.NewReplacer("multiple at ", "mult. ").Replace // a flag is small
		labels[i] = CableLabel{c.Number, short(c.From), short(c.To), kind}
	}
	return labels
}
