package paper

import (
	"io"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
)

// Song is a replay with what its pictures are drawn from.
type Song struct {
	Replay *contract.Replay
	Lanes  *contract.Lanes
	Window figures.Window // that is drawn
}

// barsAPage is how many bars of a song fit on a page.
const barsAPage = 16

// mostPages is how many pages of pictures a song has at most: longer ones have
// more bars to a page.
const mostPages = 40

// Of a report's lists: the rest is in the JSON.
const (
	mostLosses = 40
	mostFixes  = 20
)

// width and height of a picture by itself, in mm.
const pictureWidth, pictureHeight = 273.0, 170.0

// dots are those of a PNG to the mm: about 127 to the inch.
const dots = 5

// Picture is a song on one picture.
func (s *Song) Picture() *draw.Picture {
	return figures.Lanes(s.Lanes, &s.Replay.Result, s.Window, pictureWidth, max(pictureHeight, 75+2.2*float64(len(s.Lanes.Voices))))
}

// SVG writes the picture of the song.
func (s *Song) SVG(w io.Writer) error { return draw.SVG(w, s.Picture()) }

// PNG writes the picture of the song.
func (s *Song) PNG(w io.Writer) error { return draw.PNG(w, s.Picture(), dots) }

// Pages writes the pictures of the song as a document, 16 bars to a page.
func (s *Song) Pages(w io.Writer, o Options) error {
	f := s.flow(o)
	s.lanes(f)
	return draw.PDF(w, draw.About{Title: s.Replay.Song.Label(), Date: o.Date}, f.finish()...)
}

func (s *Song) flow(o Options) *flow { return newFlow(s.Replay.Rig, s.Replay.Fingerprint, o) }

// lanes draws the pictures, a page each.
func (s *Song) lanes(f *flow) {
	bars := barsAPage
	for len(figures.Split(s.Lanes, s.Window, bars)) > mostPages {
		bars *= 2
	}
	for _, w := range figures.Split(s.Lanes, s.Window, bars) {
		f.page("What each voice plays: "+s.Replay.Song.Label(), true)
		f.picture(func(width, height float64) *draw.Picture {
			return figures.Lanes(s.Lanes, &s.Replay.Result, w, width, height)
		})
	}
}

// picture fills the rest of a page.
func (f *flow) picture(draws func(width, height float64) *draw.Picture) {
	f.on().Place(f.left(), f.y, draws(f.width(), f.bottom()-f.y))
	f.y = f.bottom()
}

// Report writes the replay as a document: findings, pictures, tables.
func (s *Song) Report(w io.Writer, o Options) error {
	r, f := s.Replay, s.flow(o)
	f.page("Replay: "+r.Song.Label(), false)
	t := draw.Type{Size: body}
	bold := t
	bold.Bold = true
	f.paragraph(r.Summary, bold)
	for _, line := range append([]string{r.Verdict, r.DemandLine()}, r.RuleLines()...) {
		f.paragraph(line, t)
	}
	f.lines("About the song", append(r.FlagLines(), r.Song.WarningLines(10)...))
	f.findings(oldFindings(r.Findings))
	s.lanes(f)
	f.page("Tables: "+r.Song.Label(), false)
	f.titled("What became of the notes", old(r.EndingTable()))
	f.titled(strings.TrimSuffix(r.LossLine(mostLosses), ":"), old(r.LossTable(mostLosses)))
	f.titled("What the voices did", old(r.UseTable()))
	f.paragraph(r.RestLine(), t)
	return draw.PDF(w, draw.About{Title: r.Song.Label() + " on " + r.Rig, Date: o.Date}, f.finish()...)
}

func (f *flow) titled(title string, t doc.Table) {
	if len(t.Groups) > 0 {
		f.heading(title, 4*row)
		f.table(t)
	}
}

// HTML writes the replay as one page that needs nothing else.
func (s *Song) HTML(w io.Writer, o Options) error {
	r, d := s.Replay, &document{}
	d.open(r.Song.Label()+" on "+r.Rig, r.Fingerprint, o)
	d.paragraphs(append([]string{r.Summary, r.Verdict, r.DemandLine()}, r.RuleLines()...)...)
	d.paragraphs(append(r.FlagLines(), r.Song.WarningLines(10)...)...)
	d.findings(oldFindings(r.Findings))
	d.heading("h2", "What each voice plays")
	d.picture(s.Picture())
	d.heading("h2", "What became of the notes")
	d.table(old(r.EndingTable()))
	d.titled(strings.TrimSuffix(r.LossLine(mostLosses), ":"), old(r.LossTable(mostLosses)))
	d.titled("What the voices did", old(r.UseTable()))
	d.paragraphs(r.RestLine())
	return d.close(w)
}

func (d *document) titled(title string, t doc.Table) {
	if len(t.Groups) > 0 {
		d.heading("h2", title)
		d.table(t)
	}
}
