package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/report"
)

// Options say how a view is laid out.
type Options struct {
	Colour bool // on the sentence that says the answer
	Width  int  // in characters, for sentences; 0 for 80
}

// mostLosses is how many losses are shown; the rest is in the JSON.
const mostLosses = 8

// mostVoices is how many voices are shown one by one; more are by bank.
const mostVoices = 24

// Replay writes the view of one song: the answer first, then what it rests
// on, on about one screen.
func Replay(w io.Writer, r *report.Replay, o Options) error {
	p := newPage(o)
	p.answer(r.Summary, tone(&r.Totals))
	p.sentences(r.Verdict)
	if r.Song.Notes > 0 {
		p.sentences(r.DemandLine())
		p.gap()
		p.lines(endings(&r.Result)...)
		p.hanging(r.RuleLines()...)
		p.losses(&r.Result)
		p.gap()
		p.lines(voices(&r.Result)...)
		p.sentences(r.RestLine())
	}
	p.remarks(&r.Result)
	return p.flush(w)
}

// tone is the colour of the answer.
func tone(t *report.Totals) colour {
	switch {
	case t.Damaged > 0:
		return red
	case t.LoudestCutDB != nil || t.LostGateS > 0:
		return yellow
	}
	return green
}

// endings is the table of what became of the notes, a row a part.
func endings(r *report.Result) []string {
	columns := r.EndingColumns()
	heads := []string{"Part", " Most at\nonce", " Notes"}
	for _, c := range columns {
		heads = append(heads, " "+c.Head)
	}
	lossy := r.LostGateS > 0
	if lossy {
		heads = append(heads, " Lost", " Must\nlose")
	}
	g := newGrid(heads...)
	row := func(name string, notes int, t *report.Totals) {
		cells := []string{name, t.AtOnce(), report.Cell(notes)}
		for _, c := range columns {
			cells = append(cells, c.Of(t))
		}
		if lossy {
			cells = append(cells, report.Span(t.LostGateS), report.Span(t.Bound.UnavoidableS))
		}
		g.add(cells...)
	}
	for i := range r.Parts {
		if r.Dealt {
			break
		}
		row(r.Parts[i].Name, r.Parts[i].Notes, &r.Parts[i].Totals)
	}
	if len(r.Parts) > 1 {
		row("all", r.Song.Notes, &r.Totals)
	}
	return g.lines()
}

func (p *page) losses(r *report.Result) {
	p.lossTable(r.LossLine(mostLosses), r.Worst(mostLosses))
}

func (p *page) lossTable(title string, worst []*report.Loss) {
	if len(worst) == 0 {
		return
	}
	p.gap()
	p.sentences(title)
	p.lines(ungrouped(report.LossTable(worst))...)
}

// remarks tells what is odd about the song, and what more there is to say.
func (p *page) remarks(r *report.Result, more ...string) {
	flags, warnings := append(more, r.FlagLines()...), r.Song.WarningLines(3)
	if len(flags)+len(warnings) == 0 {
		return
	}
	p.gap()
	p.hanging(flags...)
	p.hanging(warnings...)
}
