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
	Head  string // how many voices
	SetUp string // which set-up it shows, where the rig has several
	Lines []DoorLine
	Jacks []DoorJacks
	// Connectors are the same jacks in their places, and free ones beside them.
	Connectors []DoorConnector
	Keys       []string // what shapes and marks stand for
	Free       []string // what tables say too: the colours, and which jacks are free
	Caution    string
	Since      string // which plan it replaces; empty where none was named
	Across     int    // how many voices stand beside each other at most
}

// DoorLine is up to eight or sixteen voices of a bank, or of several where these are small.
type DoorLine struct {
	Bank   string // of the first
	Last   string // bank of the last voice; empty if it is the same
	Voices []DoorVoice
}

// DoorVoice is a voice on the door.
type DoorVoice struct {
	Name        string // of its bank and its number there
	Bank        string
	Colour      string // of its bank
	Pitch, Gate string // numbers of jacks; those of a further interface have the names of their cables: right:cv1
	Detune      []DoorDetune
	Parts       string // where no part has a unison
	Address     string // port and channel, of a further interface behind its name; those of a gate behind a slash, where it has others
	Standing    string // empty where the voice is in
	Out         bool
	Via         []string // the modules between a jack and the voice: gate via conv
}

// DoorDetune is detune and pan of a voice.
type DoorDetune struct{ Cents, Pan string }

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

// DoorRing explains what is drawn where jacks have their places.
const DoorRing = "ring: free jack"

// DoorGoesOn stands where the jacks of a door do not all fit on its page.
const DoorGoesOn = "More jacks on the next page"

// NewDoor puts a map into the words of its door.
func NewDoor(m *contract.Map) *Door {
	c := newChart(m)
	d := &Door{Head: voiceCount(c.standings()), Caution: doorCaution, Keys: []string{"pill: pitch (cv), square: gate (gt), white: shared, dashed: out, 1.12: MIDI port and channel"}}
	d.Free = []string{"stripe: cable colour of the bank"}
	if len(m.SetUps) > 1 {
		d.SetUp = "set-up: " + cmp.Or(m.SetUpShown(), "none, as wired")
	}
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
	for i := range m.Voices {
		v, n := mapVoice{&m.Voices[i]}, len(d.Lines)
		if n == 0 || !shared && d.Lines[n-1].Bank != v.Bank || len(d.Lines[n-1].Voices) == across {
			d.Lines = append(d.Lines, DoorLine{Bank: v.Bank})
			n++
		}
		if last := &d.Lines[n-1]; last.Bank != v.Bank {
			last.Last = v.Bank
		}
		d.Lines[n-1].Voices = append(d.Lines[n-1].Voices, c.doorVoice(v))
	}
	for i, p := range Panels(m) {
		c.doorJacks(d, i, &p)
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
	return d
}

// doorVoice is a voice as it stands on the door.
func (c *chart) doorVoice(v mapVoice) DoorVoice {
	d := DoorVoice{Name: v.Name, Bank: v.Bank, Colour: c.colour(v.Bank), Pitch: c.doorJack(v.Pitch, "cv"), Gate: c.doorJack(v.Gate, "gt"),
		Standing: v.mark(c.MiddleC), Out: v.State == "out"}
	for _, j := range []*contract.Jack{v.Pitch, v.Gate} {
		if j == nil || j.Port == nil || j.Channel == nil {
			continue
		}
		switch at := c.addressed(j); d.Address {
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
			one.Cents = s.Part + " " + one.Cents
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

// apart stands between the addresses of pitch and gate, where these differ.
const apart = "/"

// doorJack is the number of a jack, or on a further interface the name of a cable from it;
// empty without one.
func (c *chart) doorJack(j *contract.Jack, kind string) string {
	switch {
	case j == nil:
		return ""
	case c.isFirst(j.Interface):
		return strconv.Itoa(j.Jack)
	}
	return fmt.Sprintf("%s:%s%d", j.Interface, kind, j.Jack)
}

// addressed is the MIDI port and channel of a jack, behind the name of a further interface:
// 1.12, right 1.12; a dash where nothing moves it.
func (c *chart) addressed(j *contract.Jack) string {
	port, channel := address(j)
	switch {
	case port == unit.None:
		return unit.None
	case c.isFirst(j.Interface):
		return port + "." + channel
	}
	return j.Interface + " " + port + "." + channel
}

// isFirst tells whether an interface is the first of the rig, whose cables are named without it.
func (c *chart) isFirst(name string) bool {
	return len(c.Interfaces) == 0 || c.Interfaces[0].Name == name
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
