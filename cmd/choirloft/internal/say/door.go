package say

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// Door is a rack on one page, as one stands before it: the words of a drawing.
type Door struct {
	Head    string // how many voices
	Lines   []DoorLine
	Jacks   []DoorJacks
	Keys    []string // what short names stand for
	Free    []string // what tables say too: the colours, and which jacks are free
	Short   []string // the names that have a number in brackets, from (1) on
	Caution string
	Since   string // which plan it replaces; empty where none was named
	Across  int    // how many voices stand beside each other at most
}

// DoorLine is up to eight or sixteen voices of a bank, or of several where these are small.
type DoorLine struct {
	Bank   string // of the first
	Last   string // bank of the last voice; empty if it is the same
	Voices []DoorVoice
}

// DoorVoice is a voice on the door.
type DoorVoice struct {
	Name        string
	Colour      string // of its bank
	Pitch, Gate string // numbers of jacks; those of a further interface have its number before a colon
	Detune      []DoorDetune
	Parts       string // where no part has a unison
	Address     string // port and channel: of the pitch and, behind a slash, of a gate that has another
	Standing    string // empty where the voice is in
	Out         bool
	Via         []string // the modules between a jack and the voice: gate via conv
}

// DoorDetune is detune and pan of a voice.
type DoorDetune struct{ Cents, Pan string }

// DoorJacks are jacks of one kind on an interface that are plugged.
type DoorJacks struct {
	Kind, Signal string // cv, gt or out; pitch, gate, shared
	Runs         []DoorRun
}

// DoorRun is jacks in a row that serve voices in a row, or one jack alone.
type DoorRun struct {
	Numbers []string
	Out     []bool   // of each: its voice is out
	Names   []string // of the voices, as they stand on the door
	heads   []string // as the map has them
	Label   string
	Signal  string // of a shared jack
}

// acrossDoor and mostDoorLines are how many voices stand beside each other, and how many
// lines of them fit on a page; with banks of up to so many voices as wideBank they are
// narrow and high, in fewer lines.
const acrossDoor, mostDoorLines, wideBank, mostWideLines = 8, 8, 16, 4

// OnDoor tells whether a rack fits on one page.
func OnDoor(m *contract.Map) bool {
	return len(m.Voices) > 0 && len(m.Voices) <= acrossDoor*mostDoorLines && len(m.Interfaces) > 0
}

// doorRows says how many voices stand beside each other on a door, and whether banks share
// lines: only where each on lines of its own would take too many.
func doorRows(m *contract.Map) (across int, shared bool) {
	in, widest := map[string]int{}, 0
	for i := range m.Voices {
		in[m.Voices[i].Bank]++
		widest = max(widest, in[m.Voices[i].Bank])
	}
	lines := func(across int) (n int) {
		for _, voices := range in {
			n += (voices + across - 1) / across
		}
		return n
	}
	switch {
	case widest > acrossDoor && widest <= wideBank && lines(wideBank) <= mostWideLines:
		return wideBank, false
	case lines(acrossDoor) <= mostDoorLines:
		return acrossDoor, false
	}
	return acrossDoor, true
}

// doorCaution stands where hands are at the jacks.
const doorCaution = "Mute before plugging. Outputs are never joined."

// DoorGoesOn stands where the jacks of a door do not all fit on its page.
const DoorGoesOn = "More jacks on the next page"

// NewDoor puts a map into the words of its door.
func NewDoor(m *contract.Map) *Door {
	c := newChart(m)
	d := &Door{Head: voiceCount(c.standings()), Caution: doorCaution, Keys: []string{"pill: pitch (cv), square: gate (gt), white: shared, dashed: out, 1.12: MIDI port and channel"}}
	d.Free = []string{"stripe: cable colour, by order of banks"}
	across, shared := doorRows(m)
	d.Across = across
	if len(m.Unisons) > 0 && across > acrossDoor {
		d.Keys = append(d.Keys, "below the jacks: detune in ¢; L and R: pan in %")
	} else if len(m.Unisons) > 0 {
		d.Keys = append(d.Keys, "¢: detune, L and R: pan in %")
	}
	if m.Revision != nil {
		d.Since = fmt.Sprintf("replaces %s, %s changed", m.Revision.Replaces, unit.Count(len(m.Revision.Lines), "cable"))
	}
	short := shortNames(d)
	for i := range m.Voices {
		if len([]rune(m.Voices[i].Name)) > mostDoorName {
			short(m.Voices[i].Bank, 0)
		}
	}
	for i := range m.Voices {
		v := mapVoice{&m.Voices[i]}
		n := len(d.Lines)
		bank := short(v.Bank, mostDoorName-1)
		if n == 0 || !shared && d.Lines[n-1].Bank != bank || len(d.Lines[n-1].Voices) == across {
			d.Lines = append(d.Lines, DoorLine{Bank: bank})
			n++
		}
		if last := &d.Lines[n-1]; last.Bank != bank {
			last.Last = bank
		}
		d.Lines[n-1].Voices = append(d.Lines[n-1].Voices, c.doorVoice(v, doorName(v.MapVoice, bank), short))
	}
	for i, p := range Panels(m) {
		c.doorJacks(d, i, &p, short)
	}
	if slices.ContainsFunc(d.Lines, func(l DoorLine) bool {
		return slices.ContainsFunc(l.Voices, func(v DoorVoice) bool { return len(v.Via) > 0 })
	}) {
		d.Keys = append(d.Keys, throughModule+": through a module, see the voice")
	}
	if slices.ContainsFunc(d.Lines, func(l DoorLine) bool {
		return slices.ContainsFunc(l.Voices, func(v DoorVoice) bool { return strings.Contains(v.Address, apart) })
	}) {
		d.Keys = append(d.Keys, "1.1"+apart+"1.2: pitch and gate on channels of their own")
	}
	slices.SortStableFunc(d.Jacks, func(a, b DoorJacks) int { return doorSignals[a.Signal] - doorSignals[b.Signal] })
	return d
}

// mostDoorName is how many characters of a voice's name there is room for, mostDoorHead of
// another, and mostDoorSignal of what a shared jack carries.
const mostDoorName, mostDoorHead, mostDoorSignal = 4, 8, 12

// shortNames gives names that are longer than so many characters a number in brackets, and
// the key to it; one that has a number keeps it.
func shortNames(d *Door) func(name string, most int) string {
	short := map[string]string{}
	return func(name string, most int) string {
		if short[name] == "" && len([]rune(name)) > most {
			d.Short = append(d.Short, name)
			short[name] = fmt.Sprintf("(%d)", len(d.Short))
			d.Keys = append(d.Keys, short[name]+" is "+name)
		}
		return cmp.Or(short[name], name)
	}
}

// doorName is that of a voice, of a bank that may have a number in brackets.
func doorName(v *contract.MapVoice, bank string) string {
	if bank == v.Bank {
		return v.Name
	}
	return bank + strconv.Itoa(v.Position)
}

func (c *chart) doorVoice(v mapVoice, name string, short func(string, int) string) DoorVoice {
	d := DoorVoice{Name: name, Colour: c.colour(v.Bank), Pitch: c.doorJack(v.Pitch), Gate: c.doorJack(v.Gate), Standing: c.doorStanding(v, short), Out: v.State == "out"}
	for _, j := range []*contract.Jack{v.Pitch, v.Gate} {
		if j == nil || j.Port == nil || j.Channel == nil {
			continue
		}
		switch at := c.boxed(j, fmt.Sprintf("%d.%d", *j.Port, *j.Channel)); d.Address {
		case "", at:
			d.Address = at
		default:
			d.Address += apart + at
		}
	}
	for _, input := range []string{"pitch", "gate"} {
		if via := c.modules(v.Name + "." + input); via != "" {
			d.Via = append(d.Via, input+" via "+via)
		}
	}
	for i := range v.Seats {
		s := &v.Seats[i]
		if s.Unison.Of < 2 {
			continue
		}
		one := DoorDetune{Cents: "by note"}
		switch {
		case s.Idle:
			one.Cents = "idle"
		case s.DetuneCents != nil:
			one = DoorDetune{unit.Signed(*s.DetuneCents) + " ¢", unit.Pan(*s.Pan)}
		}
		if !v.SeatsAgree() {
			one.Cents = short(s.Part, mostDoorName) + " " + one.Cents
		}
		if len(d.Detune) == 0 || !v.SeatsAgree() {
			d.Detune = append(d.Detune, one)
		}
	}
	if len(d.Detune) == 0 {
		d.Parts = strings.Join(v.parts(), ", ")
	}
	return d
}

// doorStanding is what a voice is that is not simply in; one that stands in for another
// names it as the door does.
func (c *chart) doorStanding(v mapVoice, short func(string, int) string) string {
	mark := v.mark(c.MiddleC)
	if v.StandsInFor == nil || c.voiceOf[*v.StandsInFor] == nil {
		return mark
	}
	other := c.voiceOf[*v.StandsInFor]
	return strings.Replace(mark, other.Name, doorName(other, short(other.Bank, mostDoorName-1)), 1)
}

// apart stands between the addresses of pitch and gate, where these differ.
const apart = "/"

// doorJack is the number of a jack; empty without one.
func (c *chart) doorJack(j *contract.Jack) string {
	if j == nil {
		return ""
	}
	return c.boxed(j, strconv.Itoa(j.Jack))
}

// boxed puts the number of an interface before what is on it, but for the first.
func (c *chart) boxed(j *contract.Jack, what string) string {
	for i := range c.Interfaces {
		if c.Interfaces[i].Name == j.Interface {
			return doorNumber(i, what)
		}
	}
	return what
}

func doorNumber(box int, what string) string {
	if box == 0 {
		return what
	}
	return fmt.Sprintf("%d:%s", box+1, what)
}

// modules are those that the way to an input goes through; empty for none.
func (c *chart) modules(input string) string {
	for i := range c.Paths {
		for j := range c.Paths[i].Branches {
			if b := &c.Paths[i].Branches[j]; slices.Contains(b.Inputs, input) {
				return strings.Join(b.Via, ", ")
			}
		}
	}
	return ""
}

// throughModule stands behind voices whose jack does not lead to them directly.
const throughModule = "*"

// doorSignals order the jacks on the door.
var doorSignals = map[string]int{"pitch": 0, "gate": 1, "shared": 2}

// doorKinds are what jacks are called on the door.
var doorKinds = map[string]string{"cv": "cv", "gate": "gt", "output": "out"}

// doorJacks adds the jacks of an interface: those in a row that serve voices in a row
// together, and which are free in words.
func (c *chart) doorJacks(d *Door, box int, p *Panel, short func(string, int) string) {
	if box > 0 {
		d.Keys = append(d.Keys, fmt.Sprintf("%[1]d:1 is jack 1 of %[2]s, %[1]d:1.12 its port and channel", box+1, c.Interfaces[box].Name))
	}
	free := map[string][]int{}
	groups := map[[2]string]int{}
	for i := range p.Connectors {
		for j := range p.Connectors[i].Sockets {
			s := &p.Connectors[i].Sockets[j]
			if s.Free {
				free[s.Kind] = append(free[s.Kind], s.Jack)
				continue
			}
			signal := s.Signal
			v := c.voiceOf[s.Head]
			if v == nil || signal != "pitch" && signal != "gate" {
				v, signal = nil, "shared"
			}
			key := [2]string{s.Kind, signal}
			if _, ok := groups[key]; !ok {
				groups[key] = len(d.Jacks)
				d.Jacks = append(d.Jacks, DoorJacks{Kind: doorKinds[s.Kind], Signal: signal})
			}
			at := &d.Jacks[groups[key]]
			at.Runs = c.run(at.Runs, s, v, doorNumber(box, strconv.Itoa(s.Jack)), j == 0, short)
		}
	}
	for _, kind := range []string{"cv", "gate", "output"} {
		if len(free[kind]) > 0 {
			d.Free = append(d.Free, doorKinds[kind]+" "+strings.Join(unit.Runs(free[kind]), ", ")+" free"+map[bool]string{true: " on " + c.Interfaces[box].Name}[len(c.Interfaces) > 1])
		}
	}
}

// run adds a jack to the last run, if its voice comes next in the same bank, or begins one.
func (c *chart) run(runs []DoorRun, s *Socket, v *contract.MapVoice, number string, begins bool, short func(string, int) string) []DoorRun {
	if v == nil {
		head := cmp.Or(s.To, s.Head)
		return append(runs, DoorRun{Numbers: []string{number}, Out: []bool{false}, heads: []string{head}, Label: short(head, mostDoorHead), Signal: short(s.Signal, mostDoorSignal)})
	}
	name := doorName(v, short(v.Bank, mostDoorName-1))
	if c.modules(v.Name+"."+s.Signal) != "" {
		name += throughModule
	}
	if n := len(runs); n > 0 && !begins {
		last := &runs[n-1]
		before := c.voiceOf[last.heads[len(last.heads)-1]]
		if before != nil && before.Bank == v.Bank && before.Position+1 == v.Position {
			last.Numbers, last.Out = append(last.Numbers, number), append(last.Out, v.State == "out")
			last.Names, last.heads = append(last.Names, name), append(last.heads, v.Name)
			first, _, _ := strings.Cut(last.Label, " ")
			last.Label = first + " – " + name
			return runs
		}
	}
	return append(runs, DoorRun{Numbers: []string{number}, Out: []bool{v.State == "out"}, Names: []string{name}, heads: []string{v.Name}, Label: name})
}
