package contract

import (
	"choirloft/profiles/unit"
	"fmt"
	"strconv"
	"strings"
)

// VoiceTable is what goes on the wall: a row a voice, by interface.
func (m *Map) VoiceTable() Table {
	t := Table{Columns: []TableColumn{
		{"No.", 3, true}, {"Voice", 5, false}, {"State", 13, false}, {"Pitch", 6, false}, {"Gate", 7, false},
		{"Conn.", 7, false}, {"Port", 4, true}, {"Ch.", 3, true}, {"Cents", 6, true}, {"Pan", 6, true}, {"Part", 4, false},
	}}
	for i := range m.Voices {
		v := &m.Voices[i]
		title := "Voices without a pitch jack"
		if v.box >= 0 {
			title = "Voices " + m.boxes[v.box].title
		}
		port, channel := v.address()
		t.add(title, strconv.Itoa(v.Voice), v.Name, v.Standing(), v.Pitch.label(), v.Gate.label(), v.connectors(),
			port, channel, v.cents(), v.pan(), v.partList())
	}
	return t
}

// Standing is the state of a voice as it should catch the eye: OUT, SPARE,
// LIMITED with its keys; in otherwise.
func (v *MapVoice) Standing() string {
	keys := ""
	if v.LowKey > 0 || v.HighKey < 127 {
		keys = fmt.Sprintf(" %d-%d", v.LowKey, v.HighKey)
	}
	switch {
	case v.StandsInFor != nil:
		return "FOR " + *v.StandsInFor + keys
	case v.State == "in":
		return "in"
	}
	return strings.ToUpper(v.State) + keys
}

// label names a jack.
func (j *Jack) label() string {
	if j == nil {
		return unit.None
	}
	kind := j.Kind
	if kind == "output" {
		kind = "out"
	}
	return kind + " " + strconv.Itoa(j.Jack)
}

// connector is a connector and the place on it.
func (j *Jack) connector() string { return fmt.Sprintf("%d-%d", j.Connector, j.Place) }

// connectors is where the pitch is on its connector, and the gate where that
// is not the same.
func (v *MapVoice) connectors() string {
	switch {
	case v.Pitch == nil && v.Gate == nil:
		return unit.None
	case v.Pitch == nil:
		return v.Gate.connector()
	case v.Gate == nil || v.Pitch.connector() == v.Gate.connector():
		return v.Pitch.connector()
	}
	return v.Pitch.connector() + " " + v.Gate.connector()
}

// address is the MIDI port and channel of a voice.
func (v *MapVoice) address() (port, channel string) {
	if v.Pitch != nil {
		return v.Pitch.address()
	}
	return v.Gate.address()
}

func (j *Jack) address() (port, channel string) {
	if j == nil || j.Port == nil {
		return unit.None, unit.None
	}
	return strconv.Itoa(*j.Port), strconv.Itoa(*j.Channel)
}

// varies stands where a number changes from note to note, or from part to part.
const varies = "varies"

func (v *MapVoice) cents() string {
	switch {
	case v.Unison == nil:
		return unit.None
	case !v.agree || v.DetuneCents == nil && v.Unison.Of > 1 && !v.idle():
		return varies
	case v.DetuneCents == nil || v.Unison.Of == 1:
		return unit.None
	}
	return unit.Signed(*v.DetuneCents)
}

func (v *MapVoice) pan() string {
	switch {
	case v.Unison == nil:
		return unit.None
	case !v.agree || v.Pan == nil && v.Unison.Of > 1 && !v.idle():
		return varies
	case v.Pan == nil || v.Unison.Of == 1:
		return unit.None
	}
	return Pan(*v.Pan)
}

// idle tells whether the voice is left over by the fixed stacks of its part.
func (v *MapVoice) idle() bool { return v.Seats[0].idle }

// Pan prints a place in the stereo field in per cent of a half: L 60, C, R 20.
func Pan(pan float64) string {
	percent := fmt.Sprintf("%.0f", 100*max(pan, -pan))
	switch {
	case percent == "0":
		return "C"
	case pan < 0:
		return "L " + percent
	}
	return "R " + percent
}

// partList names the parts that play on a voice, and its stack in each.
func (v *MapVoice) partList() string {
	var words []string
	for _, s := range v.Seats {
		switch {
		case s.idle:
			words = append(words, s.Part+" (idle)")
		case s.Unison.Stack != nil:
			words = append(words, fmt.Sprintf("%s stack %d", s.Part, *s.Unison.Stack))
		default:
			words = append(words, s.Part)
		}
	}
	if len(words) == 0 {
		return unit.None
	}
	return strings.Join(words, ", ")
}

// LaneTable lists what is not the pitch or gate of one voice: further inputs of
// voices, lanes of banks, macros.
func (m *Map) LaneTable() Table {
	t := Table{Columns: []TableColumn{
		{"Lane", 12, false}, {"Jack", 13, false}, {"Conn.", 6, false}, {"Port", 4, true}, {"Ch.", 3, true},
		{"Message", 8, false}, {"Moves", 5, false},
	}}
	row := func(title string, l *MapLane) {
		port, channel := l.address()
		message := unit.None
		if l.Message != nil {
			message = *l.Message
		}
		moves := strings.Join(l.To, " ")
		if moves == l.Name {
			moves = l.moves()
		}
		t.add(title, l.Name, l.Interface+" "+l.label(), l.connector(), port, channel, message, moves)
	}
	for i := range m.Voices {
		for j := range m.Voices[i].Lanes {
			row("Further inputs of voices", &m.Voices[i].Lanes[j])
		}
	}
	for i := range m.Lanes {
		row("Shared lanes", &m.Lanes[i])
	}
	for i := range m.Macros {
		row("Macros", &m.Macros[i])
	}
	return t
}

// moves says in words what a lane of its own name moves.
func (l *MapLane) moves() string {
	if l.Bank != nil && *l.Bank+"."+*l.Input == l.Name {
		return *l.Input + " of bank " + *l.Bank
	}
	return *l.Input + " of " + strings.TrimSuffix(l.Name, "."+*l.Input)
}
