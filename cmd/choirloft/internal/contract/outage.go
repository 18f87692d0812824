package contract

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// NewOutage returns what it means that a voice fails, with songs that were
// played and those that could not be.
func NewOutage(o *whatif.Outage, songs []OutageSong, failed []Failure) *Outage {
	rig := o.Before.Rig
	r := &Outage{Version: Version, Rig: rig.Name, Fingerprint: rig.Fingerprint(), Out: rig.Voices[o.Voice].Name, Asks: o.Asks,
		Cables: []OutageCable{}, Map: []MapVoice{}, Before: []MapVoice{}, Parts: []OutagePart{}, Songs: songs, Failed: failed}
	if o.StandIn >= 0 {
		r.StandIn, r.For = &rig.Voices[o.StandIn].Name, &rig.Voices[o.For].Name
	}
	for _, c := range o.Cables {
		r.Cables = append(r.Cables, newOutageCable(rig, c))
	}
	r.lines(o)
	for i := range rig.Parts {
		if was, is := serving(o.Before, i), serving(o.After, i); was != is {
			r.Parts = append(r.Parts, OutagePart{rig.Parts[i].Name, was, is})
		}
	}
	r.New = newFindings(slices.DeleteFunc(slices.Clone(o.After.Findings), func(f routing.Finding) bool {
		return slices.ContainsFunc(o.Before.Findings, func(g routing.Finding) bool { return g.Code == f.Code && g.Text == f.Text })
	}))
	if r.Songs == nil {
		r.Songs = []OutageSong{}
	}
	if r.Failed == nil {
		r.Failed = []Failure{}
	}
	r.Summary = r.summary(o)
	return r
}

func newOutageCable(rig *profiles.Rig, c whatif.OutageCable) OutageCable {
	out := OutageCable{From: jackWords(rig, &c.From), Input: c.Input.Name(rig), Others: []string{}, BendCents: c.Bend}
	for _, other := range c.Others {
		out.Others = append(out.Others, other.Name(rig))
	}
	if c.To >= 0 {
		to := routing.Input{Bank: c.Input.Bank, Voice: c.To, Input: c.Input.Input}.Name(rig)
		out.MovesTo = &to
	}
	return out
}

// jackWords names a jack: main cv 3.
func jackWords(rig *profiles.Rig, o *routing.Outlet) string {
	f := &rig.Interfaces[o.Interface]
	return fmt.Sprintf("%s %s %d", f.Name, jackKind(o.GateJack, f.Outputs > 0), o.Jack)
}

// lines keeps the voices whose line on the map changes.
func (r *Outage) lines(o *whatif.Outage) {
	before, after := NewMap(o.Before), NewMap(o.After)
	was, is := before.VoiceTable(), after.VoiceTable()
	old := map[string][]string{}
	for _, g := range was.Groups {
		for _, row := range g.Rows {
			old[row[1]] = row
		}
	}
	r.rows = Table{Columns: is.Columns}
	for _, g := range is.Groups {
		for _, row := range g.Rows {
			if name := row[1]; !slices.Equal(row, old[name]) {
				i := slices.IndexFunc(after.Voices, func(v MapVoice) bool { return v.Name == name })
				r.Map, r.Before = append(r.Map, after.Voices[i]), append(r.Before, before.Voices[i])
				r.rows.add("Lines of the map that change, as they are then", row...)
			}
		}
	}
}

// serving counts the voices that a part may play on.
func serving(p *plan.Plan, part int) (n int) {
	for _, v := range p.Rules.Config.Voices {
		if v.State.InService() && slices.Contains(p.Rules.Config.Parts[part].Banks, v.Bank) {
			n++
		}
	}
	return n
}

// NewOutageSong returns what changes in a song that was read from file and
// played before and after, and without the spare where one stands in.
func NewOutageSong(p *plan.Plan, file string, song *midi.Song, before, after, without *study.Replay) OutageSong {
	b := &builder{rig: p.Rig, cfg: &p.Rules.Config, song: song, replay: after, seconds: seconds(after.Reference.End), names: map[int]string{}}
	s := OutageSong{Song: newSong(song, file, after.Rig.Tally.Notes, b.seconds), Before: cost(&before.Rig.Tally.Score),
		After: cost(&after.Rig.Tally.Score), More: []Loss{}}
	if without != nil {
		c := cost(&without.Rig.Tally.Score)
		s.Without = &c
	}
	for _, i := range whatif.Newly(before, after) {
		s.More = append(s.More, b.loss(&after.Reference.Notes[i], &after.Outcomes[i]))
	}
	s.worst = worst(s.More)
	return s
}

func (r *Outage) summary(o *whatif.Outage) string {
	text := label(o.Before.Rig) + ": " + r.Out + " fails"
	switch {
	case r.StandIn == nil:
		text += ", and no spare stands in"
	case *r.For != r.Out:
		text += fmt.Sprintf(", and %s stands in for %s", *r.StandIn, *r.For)
	default:
		text += ", and " + *r.StandIn + " stands in"
	}
	if r.Asks {
		text += " (write use_spare: true)"
	}
	moves := 0
	for _, c := range r.Cables {
		if c.MovesTo != nil {
			moves++
		}
	}
	if moves == 0 {
		return text + "; no cable has to move"
	}
	return text + "; " + unit.Count(moves, "cable") + " to move"
}

// Lines say what to do with the cables, and which parts have fewer voices.
func (r *Outage) Lines() (lines []string) {
	var moves, stay []string
	for _, c := range r.Cables {
		if c.MovesTo != nil {
			moves = append(moves, c.From+" from "+c.Input+" to "+*c.MovesTo)
			continue
		}
		text := c.From + " from " + c.Input
		if len(c.Others) > 0 {
			text += " (it also feeds " + unit.Several(c.Others)
			if c.BendCents != 0 {
				text += fmt.Sprintf(": pulled, they go %s cents per octave", unit.Signed(c.BendCents))
			}
			text += ")"
		}
		stay = append(stay, text)
	}
	if len(moves) > 0 {
		lines = append(lines, "Move, muted: "+strings.Join(moves, ", ")+".")
	}
	if len(stay) > 0 {
		lines = append(lines, "Pull only to take "+r.Out+" out of the rack, muted and at the output first: "+strings.Join(stay, ", ")+".")
	}
	for i := 0; i < len(r.Parts); {
		p, names := r.Parts[i], []string{}
		for ; i < len(r.Parts) && r.Parts[i].Before == p.Before && r.Parts[i].After == p.After; i++ {
			names = append(names, r.Parts[i].Part)
		}
		lines = append(lines, fmt.Sprintf("Voices for %s: %d, before %d.", unit.List(names), p.After, p.Before))
	}
	if len(r.Parts) == 0 {
		lines = append(lines, "Every part has as many voices as before.")
	}
	return lines
}

// RowTable has the lines of the map that change.
func (r *Outage) RowTable() Table { return r.rows }

// Lines say what a song costs before and after.
func (s *OutageSong) Lines() []string {
	lines := []string{songLabel(&s.Song) + ": before, " + s.Before.words() + "; then, " + s.After.words() + "."}
	if s.Without != nil {
		lines = append(lines, "Without the spare, "+s.Without.words()+".")
	}
	return lines
}

// Worst returns the worst n of the losses that are new.
func (s *OutageSong) Worst(n int) (list []*Loss) {
	for _, i := range s.worst[:min(n, len(s.worst))] {
		list = append(list, &s.More[i])
	}
	return list
}

// LossLine is the title of the losses that are new.
func (s *OutageSong) LossLine(n int) string {
	if len(s.More) > n {
		return fmt.Sprintf("The worst %d of %d losses that are new:", n, len(s.More))
	}
	return "Losses that are new:"
}

// LossTable lists losses, a row each.
func LossTable(losses []*Loss) Table {
	t := Table{Columns: []TableColumn{{"Bar", 8, false}, {"Time", 9, true}, {"Part", 6, false}, {"Key", 10, false}, {"Voice", 5, false},
		{"Ending", 15, false}, {"Lost", 7, true}, {"Level", 8, true}, {"Cause", 8, false}, {"Taken by", 10, false}}}
	for _, l := range losses {
		t.add("", l.Bar, unit.Clock(l.AtS), l.Part, l.KeyName, "", l.Ending, unit.Span(l.LostS), unit.Level(l.LevelDB), l.Cause, "")
	}
	return t
}
