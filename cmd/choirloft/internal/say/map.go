package say

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Headings that the map and its sheet have in common.
const (
	headFree     = "Free jacks and multiples"
	headGrowth   = "Room to grow"
	headStray    = "Tuning error, in cents, at the worst key"
	headCables   = "Cables"
	headSchedule = "Wiring schedule"
	headRevision = "What changed"
	headFindings = "Findings"
	headBefore   = "Before you plug"
	headJacks    = "Jack to voice: "
	headVoices   = "Voice to jack and cable"
)

// Map says which jack drives which voice: the voices as they would be taped to
// the wall, then everything else; off the screen with a row for each cable.
func Map(m *contract.Map, room Room) *doc.Doc {
	c, d := newChart(m), newDoc(m.Rig+": channel map", m.Fingerprint)
	d.Add(c.answer())
	d.Add(doc.Sentences(append(boughtLines(c.Bought), c.restLine())...))
	d.Under(headRevision, c.revision()...)
	d.Under("Voices", c.voices())
	d.Under("Controls and macros", c.lanes())
	d.Under(headFree, c.free())
	d.Under(headGrowth, c.growth())
	d.Under(headStray, c.stray())
	d.Under(headCables, c.cables())
	if room != Screen {
		d.Under(headSchedule, c.schedule(), c.cableNames())
	}
	d.Add(c.unisons()...)
	d.Under(headFindings, c.findings())
	d.Under(headBefore, c.cautions())
	return d
}

// Figures of a sheet, by name. Those of interfaces and of unisons have their
// number behind it, from 0.
const (
	FigureJacks  = "jacks"
	FigureBanks  = "banks"
	FigureUnison = "unison"
	FigureLabels = "labels"
	FigureDoor   = "door"
)

// LabelsTitle stands above the flags of cables.
const LabelsTitle = "Cable labels to cut out"

// Numbered is the name of one of several figures.
func Numbered(figure string, n int) string { return fmt.Sprint(figure, " ", n) }

// Sheet says the same as [Map] for paper: first the rack on a page for its door, if it fits;
// then from jack to voice, to plug in by; from voice to jack, to find faults by; the ways between set-ups; labels
// for the cables.
func Sheet(s *contract.Sheet) *doc.Doc {
	c, d := newChart(s.Map), newDoc(s.Map.Rig, s.Map.Fingerprint)
	if OnDoor(s.Map) {
		d.Add(doc.Figure{Name: FigureDoor})
	}
	d.Add(c.answer(), doc.Sentences(append(boughtLines(c.Bought), c.restLine())...))
	d.Under(headRevision, c.revision()...)
	d.Under(headBefore, c.cautions())
	d.Under(headFindings, c.findings())
	section := d.Page
	if OnDoor(s.Map) { // what is to be found by is on the door: the rest may follow on
		section = d.Under
	}
	for i := range s.Map.Interfaces {
		section(headJacks+s.Map.Interfaces[i].Name, c.jacks(i)...)
	}
	voices := c.voicesByBank()
	if !OnDoor(s.Map) {
		voices = slices.Insert(voices, 0, doc.Block(doc.Figure{Name: FigureBanks}))
	}
	section(headVoices, voices...)
	d.Add(c.drawnUnisons()...)
	section(headFree, c.free())
	d.Under(headGrowth, c.growth())
	d.Under(headStray, c.stray())
	d.Under(headCables, c.cables())
	if len(s.Map.SetUps) > 0 { // else the tables by jack have it
		d.Under(headSchedule, c.schedule())
	}
	for _, r := range s.Changes {
		d.Page("Repatch: "+r.From+" to "+r.To, newRepatch(r, true).blocks()...)
	}
	if len(s.Map.Cables) > 0 {
		d.Paper(LabelsTitle, doc.Figure{Name: FigureLabels})
	}
	return d
}

// revision says which plan this one replaces, and which cables lead elsewhere.
func (c *chart) revision() []doc.Block {
	r := c.Revision
	if r == nil {
		return nil
	}
	of := ""
	if r.Rig != c.Rig {
		of = " of " + r.Rig
	}
	text := fmt.Sprintf("Plan %s replaces %s%s", c.Fingerprint, r.Replaces, of)
	switch {
	case r.Replaces == c.Fingerprint:
		return []doc.Block{doc.Paragraph{Text: "Nothing: plan " + c.Fingerprint + " is the same."}}
	case len(r.Lines) == 0:
		return []doc.Block{doc.Paragraph{Text: text + ". Every cable stays where it is."}}
	}
	t := doc.Table{Columns: []doc.Column{words("cable"), words("led to").Folds(30), words("leads to").Folds(30)}}
	for i := range r.Lines {
		l := &r.Lines[i]
		t.Row("", l.Cable, cmp.Or(strings.Join(l.Was, ", "), unit.None), cmp.Or(strings.Join(l.Is, ", "), unit.None))
	}
	return []doc.Block{doc.Paragraph{Text: fmt.Sprintf("%s. Cables that change: %d.", text, len(r.Lines))}, t}
}

// chart puts a map into words. What is looked up again and again has an index.
type chart struct {
	*contract.Map
	voiceOf map[string]*contract.MapVoice // by name
	laneOf  map[string]*contract.Jack     // of a lane, by its name
	macro   map[string]bool               // lanes that are macros
	from    map[string]*contract.Cable    // the first from a jack
	to      map[string]*contract.Cable    // the first that leads to an input
}

func newChart(m *contract.Map) *chart {
	c := &chart{m, map[string]*contract.MapVoice{}, map[string]*contract.Jack{}, map[string]bool{}, map[string]*contract.Cable{}, map[string]*contract.Cable{}}
	for i := range m.Macros {
		c.macro[m.Macros[i].Name], c.laneOf[m.Macros[i].Name] = true, &m.Macros[i].Jack
	}
	for i := range m.Lanes {
		c.laneOf[m.Lanes[i].Name] = &m.Lanes[i].Jack
	}
	for i := range m.Voices {
		v := &m.Voices[i]
		c.voiceOf[v.Name], c.laneOf[v.Name+".pitch"], c.laneOf[v.Name+".gate"] = v, v.Pitch, v.Gate
		for j := range v.Lanes {
			c.laneOf[v.Lanes[j].Name] = &v.Lanes[j].Jack
		}
	}
	for i := len(m.Cables) - 1; i >= 0; i-- {
		x := &m.Cables[i]
		c.from[x.From], c.to[x.To] = x, x
	}
	return c
}

func (c *chart) answer() doc.Answer {
	return doc.Answer{Text: c.summary() + ".", Tone: findingTone(c.Findings, doc.Good)}
}

// summary is the answer in a sentence.
func (c *chart) summary() string {
	pitches, gates := map[string]bool{}, map[string]bool{} // by jack
	ports, banks := map[string]bool{}, map[string]bool{}
	for i := range c.Voices {
		banks[c.Voices[i].Bank] = true
		for n, j := range []*contract.Jack{c.Voices[i].Pitch, c.Voices[i].Gate} {
			if j == nil {
				continue
			}
			[]map[string]bool{pitches, gates}[n][fmt.Sprint(j.Interface, j.Kind, j.Jack)] = true
			if j.Port != nil {
				ports[fmt.Sprint(j.Interface, *j.Port)] = true
			}
		}
	}
	text := fmt.Sprintf("%s: %s in %s on %s and %s", c.Rig, voiceCount(c.standings()), unit.Count(len(banks), "bank"),
		unit.Count(len(pitches), "pitch jack"), unit.Count(len(gates), "gate jack"))
	if len(ports) > 0 {
		text += ", over " + unit.Count(len(ports), "MIDI port")
	}
	if n := len(c.Missing); n > 0 {
		text += ". " + unit.Count(n, "signal") + " without a jack: " + unit.Several(c.Missing)
	}
	return text
}

// standings count the voices by their state. A spare is one also where it stands
// in.
func (c *chart) standings() contract.Standings {
	s := contract.Standings{All: len(c.Voices)}
	for i := range c.Voices {
		switch v := &c.Voices[i]; {
		case v.StandsInFor != nil || v.State == "spare":
			s.Spare++
		case v.State == "out":
			s.Out++
		case v.State == "limited":
			s.Limited++
		}
	}
	return s
}

// findings are what there is to say about the plan; where there is nothing, that
// is said.
func (c *chart) findings() doc.Block {
	if len(c.Findings) == 0 {
		return doc.Paragraph{Text: "None: nothing is wrong with the plan."}
	}
	return findings(c.Findings)
}

// cautions are what must be said beside a list of jacks.
func (c *chart) cautions() doc.List {
	return doc.Sentences("Mute before plugging. Never join outputs: one output may feed several inputs, not the reverse.",
		"A control voltage must never reach monitors or speakers: mark DC-coupled outputs. Trust a panel or a board "+
			"over this map. Leave mains to local codes and a licensed electrician.")
}
