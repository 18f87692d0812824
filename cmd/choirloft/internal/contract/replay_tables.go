package contract

import (
	"choirloft/profiles/unit"
	"strconv"
	"strings"
)

// EndingTable says what became of the notes, a row a part.
func (r *Result) EndingTable() Table {
	columns := r.EndingColumns()
	t := Table{Columns: []TableColumn{{"Part", 6, false}, {"At once", 8, true}, {"Notes", 5, true}}}
	for _, c := range columns {
		head := strings.NewReplacer("-\n", "", "\n", " ").Replace(c.Head)
		t.Columns = append(t.Columns, TableColumn{head, 6, true})
	}
	t.Columns = append(t.Columns, TableColumn{"Lost", 7, true}, TableColumn{"Must lose", 9, true})
	row := func(name string, notes int, of *Totals) {
		cells := []string{name, of.AtOnce(), unit.Cell(notes)}
		for _, c := range columns {
			cells = append(cells, c.Of(of))
		}
		t.add("", append(cells, unit.Span(of.LostGateS), unit.Span(of.Bound.UnavoidableS))...)
	}
	for i := range r.Parts {
		if !r.Dealt {
			row(r.Parts[i].Name, r.Parts[i].Notes, &r.Parts[i].Totals)
		}
	}
	if len(r.Parts) != 1 || r.Dealt {
		row("all", r.Song.Notes, &r.Totals)
	}
	return t
}

// LossTable lists the n worst losses.
func (r *Result) LossTable(n int) Table { return LossTable(r.Worst(n)) }

// LossTable lists losses, a row each.
func LossTable(losses []*Loss) Table {
	t := Table{Columns: []TableColumn{{"Bar", 8, false}, {"Time", 9, true}, {"Part", 6, false}, {"Key", 10, false}, {"Voice", 5, false},
		{"Ending", 15, false}, {"Lost", 7, true}, {"Level", 8, true}, {"Cause", 8, false}, {"Taken by", 10, false}}}
	for _, l := range losses {
		t.add("", l.Bar, unit.Clock(l.AtS), l.Part, l.What(), l.On(), l.Label, unit.Span(l.LostS), unit.Level(l.LevelDB), l.Cause, l.Who())
	}
	return t
}

// UseTable says what each voice in service did.
func (r *Result) UseTable() Table {
	t := Table{Columns: []TableColumn{{"Voice", 5, false}, {"Takes", 5, true}, {"Held", 5, true}, {"Sounding", 8, true}, {"Largest jump, semitones", 10, true}}}
	for _, v := range r.Serving() {
		t.add("", v.Name, unit.Cell(v.Takes), unit.Percent(v.HeldShare), unit.Percent(v.SoundingShare), unit.Cell(v.MostSemitones))
	}
	return t
}

// CurveTable has a row for each number of voices that a page shows, with the
// costs of the rules by the letters of [SizeResult.RuleLegend].
func (s *SizeResult) CurveTable() Table {
	t := Table{Columns: []TableColumn{{"Voices", 6, true}, {"Must damage", 6, true}, {"Must lose", 8, true}}}
	for i := range s.ShownRules() {
		letter := string(rune('A' + i))
		t.Columns = append(t.Columns, TableColumn{letter + ": damaged", 8, true}, TableColumn{"tails", 6, true}, TableColumn{"loudest", 8, true})
	}
	t.Columns = append(t.Columns, TableColumn{"", 10, false})
	for _, p := range s.Rows() {
		cells := []string{strconv.Itoa(p.Voices), unit.Cell(p.FewestDamaged), unit.Span(p.UnavoidableS)}
		for _, c := range s.Shown(p) {
			cells = append(cells, unit.Cell(c.Damaged), unit.Cell(c.TailCuts), unit.Level(c.LoudestCutDB))
		}
		t.add("", append(cells, s.Mark(p))...)
	}
	return t
}

// RuleLegend says which letters stand for which rules.
func (s *SizeResult) RuleLegend() string {
	var words []string
	for i, name := range s.ShownRules() {
		words = append(words, string(rune('A'+i))+": "+name)
	}
	return strings.Join(words, "; ") + "."
}

// FixTable lists the n remedies that are shown first.
func (s *SizeResult) FixTable(n int) Table {
	t := Table{Columns: []TableColumn{{"Damaged", 7, true}, {"Legato", 6, true}, {"Tails", 5, true}, {"Loudest", 8, true}, {"Asks", 8, false}, {"What to do", 30, false}}}
	for _, f := range s.ShownFixes(n) {
		t.add("", unit.Cell(f.After.Beyond()), unit.Cell(f.After.OverlapOnly), unit.Cell(f.After.TailCuts), unit.Level(f.After.LoudestCutDB), f.Asks, f.Text)
	}
	return t
}
