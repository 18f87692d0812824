package say

import (
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// BankFace is a bank as one stands before it: the words of a drawing.
type BankFace struct {
	Bank   string      `json:"bank"`
	Colour string      `json:"colour"` // of its cables
	Voices []VoiceFace `json:"voices"`
	Common []string    `json:"common,omitempty"` // jacks of the whole bank, with what reaches them
}

// VoiceFace is a voice of a bank.
type VoiceFace struct {
	Name   string `json:"name"`
	Number int    `json:"number"` // from 1
	State  string `json:"state"`  // in, out, limited, spare
	// Standing is the state in words, with keys; empty where the voice is in.
	Standing string   `json:"standing,omitempty"`
	Pitch    string   `json:"pitch,omitempty"` // jack; empty without, as is what follows
	Gate     string   `json:"gate,omitempty"`
	PitchBy  string   `json:"pitch_by,omitempty"` // name of the cable
	GateBy   string   `json:"gate_by,omitempty"`
	Detune   []string `json:"detune,omitempty"` // and pan, in each part with a unison
	Parts    string   `json:"parts,omitempty"`
}

// Faces are the banks of a map in the order of the rig.
func Faces(m *contract.Map) []BankFace {
	c := newChart(m)
	var faces []BankFace
	for i := range m.Voices {
		v := &m.Voices[i]
		if n := len(faces); n == 0 || faces[n-1].Bank != v.Bank {
			faces = append(faces, BankFace{Bank: v.Bank, Colour: c.colour(v.Bank), Common: c.common(v.Bank)})
		}
		last := &faces[len(faces)-1]
		last.Voices = append(last.Voices, c.face(mapVoice{v}))
	}
	return faces
}

// colour is that of a bank's cables.
func (c *chart) colour(bank string) string {
	for _, b := range c.Banks {
		if b.Name == bank {
			return b.Colour
		}
	}
	return ""
}

func (c *chart) face(v mapVoice) VoiceFace {
	f := VoiceFace{Name: v.Name, Number: v.Voice, State: v.State, Standing: v.mark(c.MiddleC), PitchBy: c.cableTo(v.Name + ".pitch"),
		GateBy: c.cableTo(v.Name + ".gate"), Detune: v.detunes(), Parts: strings.Join(v.parts(), ", ")}
	if v.Pitch != nil {
		f.Pitch = c.on(v.Pitch)
	}
	if v.Gate != nil {
		f.Gate = c.on(v.Gate)
	}
	return f
}

// detunes lists detune and pan; with the part, where parts do not agree.
func (v mapVoice) detunes() (lines []string) {
	for i := range v.Seats {
		s := &v.Seats[i]
		if s.Unison.Of < 2 {
			continue
		}
		line := "unison " + varies
		switch {
		case s.Idle:
			line = "idle"
		case s.DetuneCents != nil:
			line = unit.Signed(*s.DetuneCents) + "  " + unit.Pan(*s.Pan)
		}
		if v.SeatsAgree() {
			return []string{line}
		}
		lines = append(lines, line+"  "+s.Part)
	}
	return lines
}

func (v mapVoice) parts() (names []string) {
	for i := range v.Seats {
		names = append(names, v.Seats[i].Part)
	}
	return names
}

// on names a jack, with its interface where there are several.
func (c *chart) on(j *contract.Jack) string {
	if j == nil || len(c.Interfaces) < 2 {
		return jackName(j)
	}
	return j.Interface + " " + jackName(j)
}

// cableTo is the name of the cable that ends in an input; empty without.
func (c *chart) cableTo(input string) string {
	if x := c.to[input]; x != nil {
		return x.Number
	}
	return ""
}

// common lists what reaches the jacks of a whole bank.
func (c *chart) common(bank string) (lines []string) {
	for i := range c.Cables {
		if of, input := splitInput(c.Cables[i].To); of == bank {
			lines = append(lines, input+" "+c.Cables[i].Number)
		}
	}
	return lines
}

// bankNote says what columns of the table of banks mean.
const bankNote = "Detune, spread (lowest to highest of a stack) and tuning error (likely) are in cents. " +
	"Pan is in per cent of the way to the left or right."

// banks has a row a voice, or several where its parts do not agree, by bank:
// what it does in a unison, and how far its pitch may stray.
func (c *chart) banks() doc.Table {
	t := doc.Table{Columns: []doc.Column{number("number").Ranked(4), words("voice"), words("state"), words("pitch jack"), words("gate jack"),
		words("part"), number("stack").Ranked(5), number("position").Ranked(6), number("of a unison").Ranked(7), number("detune").Ranked(1),
		number("spread").Ranked(8), number("pan").Ranked(2), number("tuning error").Ranked(3)}}
	for i := range c.Voices {
		v := mapVoice{&c.Voices[i]}
		head := []string{strconv.Itoa(v.Voice), v.Name, v.standing(c.MiddleC), c.on(v.Pitch), c.on(v.Gate)}
		strays := unit.None
		if v.Budget != nil {
			strays = tenths(v.Budget.LikelyCents)
		}
		for _, row := range c.seatRows(v) {
			t.Row("Bank "+v.Bank, append(append(slices.Clone(head), row...), strays)...)
			head, strays = []string{"", "", "", "", ""}, ""
		}
	}
	return t
}

// seatRows has a row for each place of a voice, with the parts in which it has
// that; one of dashes where it has none.
func (c *chart) seatRows(v mapVoice) (rows [][]string) {
	for i := range v.Seats {
		s := &v.Seats[i]
		cells := c.seatCells(s)
		at := slices.IndexFunc(rows, func(row []string) bool { return slices.Equal(row[1:], cells) })
		if at < 0 {
			rows = append(rows, append([]string{s.Part}, cells...))
		} else {
			rows[at][0] += ", " + s.Part
		}
	}
	if len(rows) == 0 {
		rows = [][]string{slices.Repeat([]string{unit.None}, 7)}
	}
	return rows
}

// seatCells are stack, position, size, detune, spread and pan of a seat.
func (c *chart) seatCells(s *contract.Seat) []string {
	cells := []string{unit.None, unit.None, strconv.Itoa(s.Unison.Of), unit.None, unit.None, unit.None}
	if s.Unison.Of < 2 {
		return cells
	}
	if s.Idle {
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
		cells[3], cells[5] = unit.Signed(*s.DetuneCents), unit.Pan(*s.Pan)
	}
	if u := slices.IndexFunc(c.Unisons, func(u contract.Unison) bool { return u.Part == s.Part }); u >= 0 {
		cells[4] = unit.Tenths(c.Unisons[u].SpreadCents)
	}
	return cells
}

// CableLabel is what the two flags of a cable say.
type CableLabel struct {
	Name   string
	Colour string // empty for none
	// Ends are the faces at its jack, with the cable's name and where it leads, and at its
	// other end, with what it is plugged into and where it comes from.
	Ends [2]FlagFace
}

// FlagFace is what a flag says on either side.
type FlagFace struct{ Head, Below string }

// CableLabels lists the labels of all cables, by jack, then those that only set-ups plug.
func CableLabels(m *contract.Map) []CableLabel {
	labels := make([]CableLabel, len(m.Cables)+len(m.SetUpCables))
	for i, c := range slices.Concat(m.Cables, m.SetUpCables) {
		of, input := splitInput(c.To)
		end := FlagFace{of + " " + input, "from " + c.Number}
		switch {
		case of == "": // a multiple or a module
			end.Head, _, _ = strings.Cut(c.To, " at ")
		case len([]rune(end.Head)) > mostFlag:
			end = FlagFace{of, input + " (" + c.Number + ")"}
		}
		to := end.Head
		if of != "" {
			to = of + " " + input
		}
		labels[i] = CableLabel{c.Number, c.Colour, [2]FlagFace{{c.Number, "to " + to}, end}}
	}
	return labels
}

// mostFlag is how many characters fit on a flag in large type.
const mostFlag = 14
