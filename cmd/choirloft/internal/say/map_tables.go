package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// voiceTable is what goes on the wall, without its rows. What stands in a row
// never changes how another prints: a longer rig changes no line.
func voiceTable() doc.Table {
	return doc.Table{Columns: []doc.Column{number("number").Wide(3), words("voice").Wide(5), words("state").Wide(9),
		words("pitch jack").Wide(6), words("gate jack").Wide(7), words("connector").Wide(5).Ranked(3), number("port").Wide(4),
		number("channel").Wide(3), number("detune in cents").Wide(6).Ranked(1), number("pan").Wide(6).Ranked(2), words("part").Wide(4)}}
}

// voices has one row per voice, by interface.
//
// Where the same parts play on all voices, the heading of each group says so.
func (c *chart) voices() doc.Table {
	t, titles := voiceTable(), map[string]string{}
	parts, alike := c.sameParts()
	if last := len(t.Columns) - 1; alike {
		t.Columns = t.Columns[:last]
	} else {
		t.Columns[last].Width = c.partsWidth()
	}
	for i := range c.Interfaces {
		titles[c.Interfaces[i].Name] = "Voices on " + c.interfaceTitle(&c.Interfaces[i])
	}
	for i := range c.Voices {
		title := "Voices without a pitch jack"
		if pitch := c.Voices[i].Pitch; pitch != nil {
			title = titles[pitch.Interface]
		}
		cells := mapVoice{&c.Voices[i]}.cells(c.MiddleC)
		if alike {
			title, cells = title+", playing "+parts, cells[:len(cells)-1]
		}
		t.Row(title, cells...)
		t.About(aboutVoice(c.Voices[i].Name))
	}
	return t
}

// partsWidth is how wide the names of the parts on a voice are, for as many stacks as
// a longer rig may have. Where they are too wide to stand beside the rest they go below.
func (c *chart) partsWidth() int {
	const least, most, stack = 4, 19, len(" stack 99")
	widest := least
	for i := range c.Voices {
		width := 0
		for _, s := range c.Voices[i].Seats {
			width += utf8.RuneCountInString(s.Part) + len(", ")
			if s.Unison.Stack != nil {
				width += stack
			}
		}
		widest = max(widest, width-len(", "))
	}
	if widest > most {
		return least
	}
	return widest
}

// sameParts are the parts that play on every voice, if there are several and they
// are the same on all.
func (c *chart) sameParts() (string, bool) {
	const fewest = 2
	var parts string
	for i := range c.Voices {
		v := mapVoice{&c.Voices[i]}
		if list := v.PartList(); i == 0 {
			parts = list
		} else if list != parts {
			return "", false
		}
	}
	return parts, len(c.Voices) >= fewest && len(c.Voices[0].Seats) >= fewest
}

// interfaceTitle names an interface and how it turns keys into volts.
func (c *chart) interfaceTitle(f *contract.Interface) string {
	text := f.Name
	if f.Profile != nil && *f.Profile != f.Name {
		text += " (" + *f.Profile + ")"
	}
	text += ", " + unit.Volts(f.LowV) + " to " + unit.Volts(f.HighV) + ifAssumed(f.RangeSource)
	if f.VoltsPerOctave == nil {
		return text + fmt.Sprintf(", %s at %s, Hz/V", unit.Hertz(*f.ReferenceHz), unit.Volts(*f.ReferenceV))
	}
	return text + fmt.Sprintf(", 0 V at %s (%d)%s, %s/oct", contract.KeyName(*f.ZeroKey, c.MiddleC), *f.ZeroKey, ifAssumed(f.ZeroKeySource), unit.Volts(*f.VoltsPerOctave))
}

// ifAssumed marks a value that nobody gave.
func ifAssumed(s contract.Source) string {
	if s == contract.Assumed {
		return " (assumed)"
	}
	return ""
}

// mapVoice puts a voice on the map into words.
type mapVoice struct{ *contract.MapVoice }

// cells are its row in the table of voices.
func (v mapVoice) cells(middleC int) []string {
	first := v.Pitch
	if first == nil {
		first = v.Gate
	}
	port, channel := address(first)
	if v.Gate != nil && v.Gate.Port != nil { // from a pitch jack that others share
		gatePort, gateChannel := address(v.Gate)
		if gatePort != port {
			port, channel = port+"/"+gatePort, channel+"/"+gateChannel
		} else if gateChannel != channel {
			channel += "/" + gateChannel
		}
	}
	cents, pan := v.tuned()
	return []string{strconv.Itoa(v.Voice), v.Name, v.standing(middleC), jackName(v.Pitch), jackName(v.Gate), v.connectors(),
		port, channel, cents, pan, v.PartList()}
}

// serving is what a voice stands as that is simply in.
const serving = "in"

// standing is the state of a voice as it should catch the eye: OUT, SPARE,
// LIMITED with its keys by name, for want of room; in or joined otherwise.
func (v mapVoice) standing(middleC int) string {
	keys := ""
	if v.LowKey > 0 || v.HighKey < 127 {
		keys = " " + contract.KeyName(v.LowKey, middleC) + "-" + contract.KeyName(v.HighKey, middleC)
	}
	switch {
	case v.StandsInFor != nil:
		return "FOR " + *v.StandsInFor + keys
	case v.State == serving:
		return serving
	case v.State == "joined": // nobody has to mend anything
		return v.State + keys
	case v.State == "out": // whatever keys it had
		keys = ""
	}
	return strings.ToUpper(v.State) + keys
}

// InRig says what the rig's text says of a voice: its state, and the keys that it tracks.
func InRig(state string, low, high, middleC int) string {
	keys := ""
	if low > 0 || high < 127 {
		keys = fmt.Sprintf("%s (%d) to %s (%d)", contract.KeyName(low, middleC), low, contract.KeyName(high, middleC), high)
	}
	if state == "limited" {
		return "The rig says: limited, in service for " + keys + " only."
	}
	at := slices.IndexFunc(stateTerms, func(t Term) bool { return t.Name == state })
	text := "The rig says: " + stateTerms[at].Means
	if state == "spare" {
		text = "The rig says: spare, " + stateTerms[at].Means
	}
	if keys != "" {
		text += " It tracks " + keys + "."
	}
	return text
}

// connectors is where the pitch is on its connector, and the gate where that
// is not the same.
func (v mapVoice) connectors() string {
	pitch, gate := connector(v.Pitch), connector(v.Gate)
	switch {
	case v.Pitch == nil:
		return gate
	case v.Gate == nil || pitch == gate:
		return pitch
	}
	return pitch + " " + gate
}

// varies stands where a number changes from note to note, or from part to part.
const varies = "varies"

// tuned is the detune and the pan.
func (v mapVoice) tuned() (cents, pan string) {
	switch c, p, changing := v.Tuned(); {
	case changing:
		return varies, varies
	case c != nil:
		return unit.Signed(*c), unit.Pan(*p)
	}
	return unit.None, unit.None
}

// lanes lists what is not the pitch or gate of one voice: further inputs of
// voices, lanes of banks, macros.
func (c *chart) lanes() doc.Table {
	places := words("connector").Means("") // said below the voices
	t := doc.Table{Columns: []doc.Column{words("control").Wide(12), words("jack").Wide(13), places.Wide(5).Ranked(1),
		number("port").Wide(4), number("channel").Wide(3), words("message").Wide(8), words("moved inputs").Wide(5)}}
	row := func(title string, l *contract.MapLane) {
		j := &l.Jack
		port, channel := address(j)
		t.Row(title, l.Name, l.Interface+" "+jackName(j), connector(j), port, channel, message(j), moves(l))
	}
	for i := range c.Voices {
		for j := range c.Voices[i].Lanes {
			row("Further inputs of voices", &c.Voices[i].Lanes[j])
			t.About(aboutVoice(c.Voices[i].Name))
		}
	}
	for i := range c.Lanes {
		row("Shared CVs of banks", &c.Lanes[i])
	}
	for i := range c.Macros {
		row("Macros", &c.Macros[i])
	}
	return t
}

// moves names the inputs that a lane moves; in words where it has their name.
func moves(l *contract.MapLane) string {
	names := strings.Join(l.To, " ")
	switch {
	case names != l.Name:
		return names
	case l.Bank != nil && *l.Bank+"."+*l.Input == l.Name:
		return *l.Input + " of bank " + *l.Bank
	}
	return *l.Input + " of " + strings.TrimSuffix(l.Name, "."+*l.Input)
}
