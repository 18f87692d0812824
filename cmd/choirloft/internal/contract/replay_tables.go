package contract

import (
	"choirloft/profiles/unit"
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
