package say

import (
	"cmp"
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

// detunes is detune and pan, or the detune in each part where parts do not agree.
func (v mapVoice) detunes() (lines []string) {
	for i := range v.Seats {
		s := &v.Seats[i]
		if s.Unison.Of < 2 {
			continue
		}
		cents, pan := "by note", ""
		switch {
		case s.Idle:
			cents = "idle"
		case s.DetuneCents != nil:
			cents, pan = unit.Signed(*s.DetuneCents), "  "+unit.Pan(*s.Pan)
		}
		if v.SeatsAgree() {
			return []string{cents + pan}
		}
		lines = append(lines, s.Part+" "+cents)
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

// voicesByBank lead from a voice to its jacks and cables, and say what it does in a unison
// and how far its pitch may stray.
func (c *chart) voicesByBank() []doc.Block {
	t, parts := c.banks()
	var blocks []doc.Block
	if parts != "" {
		blocks = append(blocks, doc.Paragraph{Text: "Every voice plays in " + parts + "."})
	}
	note := "Pitch and gate: the cable, which has the name of its jack. Tuning error (likely) is in cents."
	if len(c.Unisons) > 0 {
		note += " So is detune. Pan is in per cent of the way to the left or right."
	}
	return append(blocks, doc.Aside{Text: note}, t)
}

// banks has one row per voice, or several where its parts do not agree, by bank. Parts that are
// the same in all rows are returned instead.
func (c *chart) banks() (t doc.Table, parts string) {
	t = doc.Table{Columns: []doc.Column{number("number").Ranked(4), words("voice"), words("state").Folds(8), words("cable of the pitch"), words("cable of the gate"),
		words("part"), words("place in a stack").Ranked(5), number("detune").Ranked(1), number("pan").Ranked(2), number("tuning error").Ranked(3)}}
	for i := range c.Voices {
		v := mapVoice{&c.Voices[i]}
		head := []string{strconv.Itoa(v.Voice), v.Name, cmp.Or(v.mark(c.MiddleC), unit.None), cmp.Or(c.cableTo(v.Name+".pitch"), c.on(v.Pitch)),
			cmp.Or(c.cableTo(v.Name+".gate"), c.on(v.Gate))}
		strays := unit.None
		if v.Budget != nil {
			strays = tenths(v.Budget.LikelyCents)
		}
		for _, row := range seatRows(v) {
			t.Row("Bank "+v.Bank, append(append(slices.Clone(head), row...), strays)...)
			head, strays = []string{"", "", "", "", ""}, ""
		}
	}
	return t, alike(&t, 5)
}

// alike empties a column that says the same in all rows, if there are several, and
// returns it.
func alike(t *doc.Table, column int) string {
	var all [][]string
	for i := range t.Groups {
		all = append(all, t.Groups[i].Rows...)
	}
	if len(all) < 2 || slices.ContainsFunc(all, func(row []string) bool { return row[column] != all[0][column] }) || all[0][column] == unit.None {
		return ""
	}
	same := all[0][column]
	for _, row := range all {
		row[column] = unit.None
	}
	return same
}

// seatRows has a row for each place of a voice, with the parts in which it has
// that; one of dashes where it has none.
func seatRows(v mapVoice) (rows [][]string) {
	for i := range v.Seats {
		s := &v.Seats[i]
		cells := seatCells(s)
		at := slices.IndexFunc(rows, func(row []string) bool { return slices.Equal(row[1:], cells) })
		if at < 0 {
			rows = append(rows, append([]string{s.Part}, cells...))
		} else {
			rows[at][0] += ", " + s.Part
		}
	}
	if len(rows) == 0 {
		rows = [][]string{slices.Repeat([]string{unit.None}, 4)}
	}
	return rows
}

// seatCells are place, detune and pan of a seat.
func seatCells(s *contract.Seat) []string {
	switch {
	case s.Unison.Of < 2:
		return []string{unit.None, unit.None, unit.None}
	case s.Idle:
		return []string{"idle", unit.None, unit.None}
	}
	cells := []string{"of " + strconv.Itoa(s.Unison.Of), varies, varies}
	if s.Unison.Position != nil {
		cells[0] = strconv.Itoa(*s.Unison.Position) + " " + cells[0]
	}
	if s.DetuneCents != nil {
		cells[1], cells[2] = unit.Signed(*s.DetuneCents), unit.Pan(*s.Pan)
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
			_, end.Head = EndsOf(&c)
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
