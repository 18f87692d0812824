package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// Plug is a rack as one plugs it, a cable in one hand: the words of a drawing on which
// each cable can be ticked.
type Plug struct {
	Rig      string       `json:"rig"`
	Plan     string       `json:"plan"` // its code
	Caution  string       `json:"caution"`
	Cautions []string     `json:"cautions"` // whole
	Kept     string       `json:"kept"`     // who has the ticks
	Keys     []string     `json:"keys"`     // what shapes and short words stand for
	Cables   []PlugCable  `json:"cables"`   // of all set-ups, each once
	SetUps   []PlugSetUp  `json:"set_ups"`  // one without a name where the rig has none
	Changes  []PlugChange `json:"changes"`
}

// PlugCable is a cable and both of its ends.
type PlugCable struct {
	Cable  string   `json:"cable"`
	From   string   `json:"from"`
	To     string   `json:"to"`
	Colour string   `json:"colour"`  // of its bank; empty where it serves several
	About  string   `json:"about"`   // in words
	SetUps []string `json:"set_ups"` // in which it is plugged
}

// PlugSetUp is what is plugged in a set-up: by what it leads to, and by what it comes from. Either
// has each cable once.
type PlugSetUp struct {
	Name   string      `json:"name"`
	Head   string      `json:"head"`
	Cables int         `json:"cables"`
	Rack   []PlugGroup `json:"rack"`
	Jacks  []PlugGroup `json:"jacks"`
}

// PlugGroup is a bank, or a connector.
type PlugGroup struct {
	Name    string       `json:"name"`
	About   string       `json:"about,omitempty"`
	Colour  string       `json:"colour,omitempty"`
	Toggles []PlugToggle `json:"toggles,omitempty"` // of the bank as a whole
	Cells   []PlugCell   `json:"cells"`
}

// PlugCell is a voice, or jacks in a row that lead to voices in a row.
type PlugCell struct {
	Name     string       `json:"name"`
	Colour   string       `json:"colour,omitempty"`
	Out      bool         `json:"out"`
	Standing string       `json:"standing,omitempty"` // empty where the voice is in
	Lines    []string     `json:"lines,omitempty"`
	Toggles  []PlugToggle `json:"toggles"`
}

// PlugToggle is a cable at one of its ends.
type PlugToggle struct {
	At    int    `json:"at"` // in Cables, from 0: set-ups may use a name for different ends
	Cable string `json:"cable"`
	Shape string `json:"shape"` // pill, square: a CV, a gate
	Small string `json:"small"` // before what is read first
	Big   string `json:"big"`
	Below string `json:"below,omitempty"`
}

// PlugChange is something that moves cables.
type PlugChange struct {
	Kind  string `json:"kind"` // in words: what several have in common
	Text  string `json:"text"`
	From  string `json:"from,omitempty"` // set-ups
	To    string `json:"to,omitempty"`
	Voice string `json:"voice,omitempty"` // that fails
}

// plugs puts the cables of a set-up into groups.
type plugs struct {
	*chart
	cables []*contract.Cable
	at     map[*contract.Cable]int      // in the schedule
	heads  map[string][]*contract.Cable // by what they come from
}

// NewPlug puts a map into the words of plugging it.
func NewPlug(m *contract.Map) *Plug {
	c := newChart(m)
	all := slices.Concat(m.Cables, m.SetUpCables)
	p := &Plug{Rig: m.Rig, Plan: m.Fingerprint, Caution: doorCaution, Kept: "Ticks stay in this browser. Another phone or laptop has its own.",
		Keys: plugKeys(), Cables: []PlugCable{}, Changes: []PlugChange{}}
	for _, item := range c.cautions().Items {
		p.Cautions = append(p.Cautions, item.Text)
	}
	p.Cautions = append(p.Cautions, busCaution)
	for i := range all {
		x := &all[i]
		p.Cables = append(p.Cables, PlugCable{x.Number, x.From, x.To, x.Colour, aboutCable(x), x.SetUps})
	}
	for _, name := range plugSetUps(m.SetUps, all) {
		s := plugs{c, nil, map[*contract.Cable]int{}, map[string][]*contract.Cable{}}
		for i := range all {
			if x := &all[i]; len(m.SetUps) == 0 || slices.Contains(x.SetUps, name) || name == noSetUp && len(x.SetUps) == 0 {
				s.cables, s.heads[x.From], s.at[x] = append(s.cables, x), append(s.heads[x.From], x), i
			}
		}
		p.SetUps = append(p.SetUps, PlugSetUp{name, unit.Count(len(s.cables), "cable"), len(s.cables), s.rack(), s.jacks()})
	}
	p.changes(m)
	return p
}

// noSetUp stands for cables that no set-up plugs.
const noSetUp = "in no set-up"

// plugSetUps are the set-ups of a rig, one without a name where it has none, and one for cables of
// no set-up where there are such.
func plugSetUps(names []string, all []contract.Cable) []string {
	switch {
	case len(names) == 0:
		return []string{""}
	case slices.ContainsFunc(all, func(x contract.Cable) bool { return len(x.SetUps) == 0 }):
		return append(slices.Clone(names), noSetUp)
	}
	return names
}

func plugKeys() []string {
	return []string{"Round: a CV. Square: a gate.", "¢: detune. L and R: pan in %."}
}

// aboutCable is a cable in words, without its name.
func aboutCable(x *contract.Cable) string {
	text := x.From + " to " + x.To
	if x.Colour != "" {
		text += ", " + x.Colour
	}
	if x.StockCM != nil {
		text += fmt.Sprintf(", %d cm", *x.StockCM)
	}
	return text
}

// changes are the ways between set-ups, and the failures of voices.
func (p *Plug) changes(m *contract.Map) {
	for _, from := range m.SetUps {
		for _, to := range m.SetUps {
			if from != to {
				p.Changes = append(p.Changes, PlugChange{Kind: "A change of set-up", Text: from + " to " + to, From: from, To: to})
			}
		}
	}
	for i := range m.Voices {
		if v := &m.Voices[i]; v.State != "out" {
			p.Changes = append(p.Changes, PlugChange{Kind: "A voice has failed", Text: v.Name + " fails", Voice: v.Name})
		}
	}
}

// rack are the banks, each voice with the cables that lead to it, then what else cables lead to.
func (s *plugs) rack() (groups []PlugGroup) {
	cells, banks := map[string][2]int{}, map[string]int{}
	for i := range s.Voices {
		v := &s.Voices[i]
		if _, ok := banks[v.Bank]; !ok {
			banks[v.Bank] = len(groups)
			groups = append(groups, PlugGroup{Name: v.Bank, Colour: s.colour(v.Bank), Cells: []PlugCell{}})
		}
		g := &groups[banks[v.Bank]]
		cells[v.Name] = [2]int{banks[v.Bank], len(g.Cells)}
		g.Cells = append(g.Cells, s.voiceCell(mapVoice{v}))
	}
	others := PlugGroup{Name: otherThings, Cells: []PlugCell{}}
	for _, x := range s.bySignal() {
		of, input := splitInput(x.To)
		at, isVoice := cells[of]
		bank, isBank := banks[of]
		switch {
		case isVoice:
			t := &groups[at[0]].Cells[at[1]].Toggles
			*t = append(*t, s.atVoice(x, input))
		case isBank:
			groups[bank].Toggles = append(groups[bank].Toggles, s.atInput(x, input))
		default:
			others.add(x.To, s.feeds(x.To), s.outOf(x))
		}
	}
	if len(others.Cells) > 0 {
		groups = append(groups, others)
	}
	return groups
}

// otherThings is the head of what is neither a voice nor a jack of an interface.
const otherThings = "Multiples and modules"

// bySignal are the cables with pitches first, then gates.
func (s *plugs) bySignal() []*contract.Cable {
	rank := func(x *contract.Cable) int {
		_, input := splitInput(x.To)
		if at, ok := doorSignals[input]; ok {
			return at
		}
		return doorSignals["shared"]
	}
	return slices.SortedStableFunc(slices.Values(s.cables), func(a, b *contract.Cable) int { return rank(a) - rank(b) })
}

// voiceCell is a voice as it stands on the door of the rack.
func (s *plugs) voiceCell(v mapVoice) PlugCell {
	d := s.doorVoice(v)
	cell := PlugCell{Name: d.Name, Colour: d.Colour, Out: d.Out, Standing: d.Standing, Toggles: []PlugToggle{}}
	for _, one := range d.Detune {
		if cell.Lines = append(cell.Lines, one.Cents); one.Pan != "" {
			cell.Lines = append(cell.Lines, one.Pan)
		}
	}
	cell.Lines = append(cell.Lines, d.Via...)
	return cell
}

// outOf is a cable by its name, which is that of its jack: cv 12.
func (s *plugs) outOf(x *contract.Cable) PlugToggle {
	box, name, ok := strings.Cut(x.Number, ":")
	if !ok {
		box, name = "", x.Number
	}
	number := strings.TrimLeft(name, "abcdefghijklmnopqrstuvwxyz")
	mark := strings.TrimSuffix(name, number)
	shape := "pill"
	if mark == doorKinds["gate"] {
		shape = "square"
	}
	return PlugToggle{At: s.at[x], Cable: x.Number, Shape: shape, Small: strings.TrimSpace(box + " " + mark), Big: number}
}

// atVoice is a cable at an input of a voice. Pitch and gate are known by their shapes.
func (s *plugs) atVoice(x *contract.Cable, input string) PlugToggle {
	if input == "pitch" || input == "gate" {
		return s.outOf(x)
	}
	return s.atInput(x, input)
}

// atInput is a cable at an input whose name has to be read.
func (s *plugs) atInput(x *contract.Cable, input string) PlugToggle {
	t := s.outOf(x)
	t.Small, t.Big = input, x.Number
	return t
}

// add adds a cable to the cell of a thing, and the cell if it is not there.
func (g *PlugGroup) add(name, about string, t PlugToggle) {
	at := slices.IndexFunc(g.Cells, func(c PlugCell) bool { return c.Name == name })
	if at < 0 {
		at, g.Cells = len(g.Cells), append(g.Cells, PlugCell{Name: name})
		if about != "" {
			g.Cells[at].Lines = []string{about}
		}
	}
	g.Cells[at].Toggles = append(g.Cells[at].Toggles, t)
}

// feeds says what a multiple or a module leads to, if it does in this set-up.
func (s *plugs) feeds(name string) string {
	var inputs []string
	var follow func(name string, deep int)
	follow = func(name string, deep int) {
		for _, x := range s.heads[name] {
			if of, _ := splitInput(x.To); of != "" {
				inputs = append(inputs, x.To)
			} else if deep < len(s.cables) {
				follow(x.To, deep+1)
			}
		}
	}
	follow(name, 0)
	if len(inputs) == 0 {
		return ""
	}
	return "to " + s.destinations(inputs)
}
