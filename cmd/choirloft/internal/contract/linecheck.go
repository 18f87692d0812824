package contract

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"choirloft/midi"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
)

// LineCheck is the page of a file that plays every voice in turn: what should
// be heard, and when.
type LineCheck struct {
	Version     int          `json:"version"`
	Rig         string       `json:"rig"`
	Fingerprint string       `json:"fingerprint"`
	Summary     string       `json:"summary"`
	File        string       `json:"file"`
	Seconds     float64      `json:"seconds"`
	Lines       []CheckLine  `json:"lines"`  // voices, in this order
	Stacks      []CheckStack `json:"stacks"` // then unisons
	Silent      []string     `json:"silent"` // voices out of service
	Findings    []Finding    `json:"findings"`
}

// CheckLine is one voice.
type CheckLine struct {
	Bar      int     `json:"bar"`
	AtS      float64 `json:"at_s"`
	Name     string  `json:"name"`
	State    string  `json:"state"`
	Pitch    *Jack   `json:"pitch"`
	Gate     *Jack   `json:"gate"`
	Key      int     `json:"key"`  // of the strokes
	Keys     []int   `json:"keys"` // of the octaves
	keyName  string
	keyNames []string
}

// CheckStack is one unison, its voices by position.
type CheckStack struct {
	Bar     int       `json:"bar"`
	AtS     float64   `json:"at_s"`
	Part    string    `json:"part"`
	Stack   *int      `json:"stack"` // null where any voices may meet
	Key     int       `json:"key"`
	Voices  []string  `json:"voices"`
	Cents   []float64 `json:"detune_cents"`
	keyName string
}

// NewLineCheck returns the page of a line check that was written to a file.
func NewLineCheck(c *deal.Check, file string) *LineCheck {
	rig := c.Plan.Rig
	b := mapper{rig, c.Plan.Map}
	name := func(k midi.Key) string { return KeyName(int(k), int(rig.MiddleC)) }
	out := &LineCheck{Version: Version, Rig: rig.Name, Fingerprint: rig.Fingerprint(), File: file, Seconds: c.Seconds,
		Silent: append([]string{}, b.names(c.Silent)...), Stacks: []CheckStack{}, Findings: newFindings(c.Plan.Findings)}
	for _, l := range c.Lines {
		v := b.voice(l.Voice, c.Plan.Rules.Config.Voices[l.Voice].State)
		line := CheckLine{Bar: l.Bar, AtS: seconds(l.At), Name: v.Name, State: v.State, Pitch: v.Pitch, Gate: v.Gate,
			Key: int(l.Key), Keys: []int{}, keyName: name(l.Key)}
		for _, k := range l.Keys {
			line.Keys, line.keyNames = append(line.Keys, int(k)), append(line.keyNames, name(k))
		}
		out.Lines = append(out.Lines, line)
	}
	for _, s := range c.Stacks {
		stack := CheckStack{Bar: s.Bar, AtS: seconds(s.At), Part: rig.Parts[s.Part].Name, Key: int(s.Key),
			Voices: []string{}, Cents: []float64{}, keyName: name(s.Key)}
		if s.Stack > 0 {
			stack.Stack = &s.Stack
		}
		for _, v := range s.Voices {
			stack.Voices, stack.Cents = append(stack.Voices, rig.Voices[v.Voice].Name), append(stack.Cents, float64(v.Detune))
		}
		out.Stacks = append(out.Stacks, stack)
	}
	out.Summary = fmt.Sprintf("Line check of %s: %s in %s, %s.", label(rig), unit.Count(len(out.Lines), "voice"), unit.Length(c.Seconds), file)
	return out
}

// Cautions are what must be read before the file is played.
func (c *LineCheck) Cautions() []string {
	most := 1
	for i := range c.Stacks {
		most = max(most, len(c.Stacks[i].Voices))
	}
	hearing := "Hearing: master down before you start, monitors on last and off first. Bring the level up during the first voice's strokes, " +
		"which begin quiet where velocity has a lane, and are full where it has none."
	if most > 1 {
		louder := 10 * math.Log10(float64(most))
		hearing += fmt.Sprintf(" The stacks at the end are %s to %s dB louder than one voice.", unit.Tenths(louder), unit.Tenths(2*louder))
	}
	return []string{hearing, "Mute before plugging, also when a voice is silent. A control voltage must never reach monitors or speakers."}
}

// HowLines say what is played and how to read the table.
func (c *LineCheck) HowLines() []string {
	lines := []string{"120 quarters a minute, two seconds a bar. Each voice: a bar of four strokes of one key, each louder than the " +
		"last, then its octaves from the lowest, a quarter each."}
	if len(c.Stacks) > 0 {
		lines = append(lines, "Then the stacks: voices join in by position, a quarter apart, and end together.")
	}
	if len(c.Silent) > 0 {
		lines = append(lines, "Out of service, so not played: "+unit.List(append([]string{}, c.Silent...))+".")
	}
	return lines
}

// VoiceTable is a row a voice.
func (c *LineCheck) VoiceTable() Table {
	t := Table{Columns: []TableColumn{{"Bar", 4, true}, {"Time", 8, true}, {"Voice", 6, false}, {"CV", 6, false}, {"Gate", 8, false},
		{"Port", 4, true}, {"Ch", 2, true}, {"Heard", 10, false}, {"then", 28, false}, {"OK", 3, false}}}
	for i := range c.Lines {
		l := &c.Lines[i]
		port, channel := l.Pitch.address()
		voice := l.Name
		if l.State == "spare" {
			voice += " spare"
		}
		t.add("", strconv.Itoa(l.Bar), unit.Clock(l.AtS), voice, l.Pitch.label(), l.Gate.label(), port, channel,
			fmt.Sprintf("4× %s (%d)", l.keyName, l.Key), strings.Join(l.keyNames, " "), "[ ]")
	}
	return t
}

// StackTable is a row a stack.
func (c *LineCheck) StackTable() Table {
	t := Table{Columns: []TableColumn{{"Bar", 4, true}, {"Time", 8, true}, {"Part", 8, false}, {"Stack", 5, true}, {"Key", 8, false},
		{"Voices by position, with their cents", 40, false}, {"OK", 3, false}}}
	for i := range c.Stacks {
		s := &c.Stacks[i]
		stack, voices := unit.None, make([]string, len(s.Voices))
		if s.Stack != nil {
			stack = strconv.Itoa(*s.Stack)
		}
		for j := range voices {
			voices[j] = s.Voices[j] + " " + unit.Signed(s.Cents[j])
		}
		t.add("", strconv.Itoa(s.Bar), unit.Clock(s.AtS), s.Part, stack, fmt.Sprintf("%s (%d)", s.keyName, s.Key), strings.Join(voices, ", "), "[ ]")
	}
	return t
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

func (j *Jack) address() (port, channel string) {
	if j == nil || j.Port == nil {
		return unit.None, unit.None
	}
	return strconv.Itoa(*j.Port), strconv.Itoa(*j.Channel)
}
