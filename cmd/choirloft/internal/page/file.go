package page

import (
	"bytes"
	"io"
	"net/http"
	"slices"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// kind is a kind of file that the page offers.
type kind struct {
	fileView
	media string
	write func(io.Writer, *paperwork) error
}

// paperwork is what files are made from.
type paperwork struct {
	plan *plan.Plan
	song Song // of no value where the file is not about one
	// options are those of a file of a command about the rig, and of a song if named.
	options func(name string, song ...string) paper.Options
}

func (p *paperwork) chart() *contract.Map { return contract.NewMap(p.plan) }

// sheet writes the sheet of the map by what lays it out.
func (p *paperwork) sheet(w io.Writer, lay func(io.Writer, *doc.Doc, paper.Figures, paper.Options) error) error {
	s := contract.NewSheet(p.plan)
	return lay(w, say.Sheet(s), paper.Drawings(s.Map), p.options("map"))
}

// kinds are the files that there are, as the command writes them.
var kinds = []kind{
	{fileView{"sheet.pdf", "Patch sheet, PDF", false}, "application/pdf",
		func(w io.Writer, p *paperwork) error { return p.sheet(w, paper.Document) }},
	{fileView{"sheet.svg", "Patch sheet, SVG", false}, "image/svg+xml",
		func(w io.Writer, p *paperwork) error { return p.sheet(w, paper.SVG) }},
	{fileView{"map.csv", "Channel map, CSV", false}, "text/csv; charset=utf-8",
		func(w io.Writer, p *paperwork) error { return contract.CSV(w, p.chart().Records()) }},
	{fileView{"map.md", "Channel map, Markdown", false}, "text/markdown; charset=utf-8",
		func(w io.Writer, p *paperwork) error { return doc.Markdown(w, say.Map(p.chart(), say.Paper)) }},
	{fileView{"dealt.mid", "The song dealt to the voices, MIDI", true}, "audio/midi",
		func(w io.Writer, p *paperwork) error { return p.dealt(w) }},
	{fileView{"song.svg", "Picture of the song, SVG", true}, "image/svg+xml",
		func(w io.Writer, p *paperwork) error { return p.drawn(w, (*paper.Song).SVG) }},
	{fileView{"song.pdf", "Report of the song, PDF", true}, "application/pdf",
		func(w io.Writer, p *paperwork) error {
			return p.drawn(w, func(s *paper.Song, w io.Writer) error {
				return paper.Document(w, say.Replay(s.Replay, say.Paper), s.Figures(), p.options("replay", p.song.typed()))
			})
		}},
}

// drawn draws the song as it is played.
func (p *paperwork) drawn(w io.Writer, draw func(*paper.Song, io.Writer) error) error {
	replay, spans, err := p.plan.Lanes(p.song.MIDI)
	if err != nil {
		return err
	}
	lanes := contract.NewLanes(p.plan, p.song.MIDI, replay, spans)
	result := contract.NewResult(p.plan, p.song.Name, p.song.MIDI, replay)
	if err := result.Listen(p.plan, p.song.MIDI, replay); err != nil {
		return err
	}
	return draw(&paper.Song{Replay: contract.NewReplay(p.plan, result), Lanes: lanes, Options: p.options("replay", p.song.typed())}, w)
}

// dealt writes the song as it is dealt to the voices, in one file.
func (p *paperwork) dealt(w io.Writer) error {
	d, err := deal.New(p.plan, p.song.MIDI, deal.Options{})
	if err != nil {
		return err
	}
	data, err := d.Files(deal.Whole)[0].Score.Bytes()
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

func fileKinds() []fileView {
	list := make([]fileView, len(kinds))
	for i, k := range kinds {
		list[i] = k.fileView
	}
	return list
}

// file answers with a file as the command writes it.
func (s *server) file(w http.ResponseWriter, r *http.Request) error {
	q, p, o, song, err := s.ask(w, r, false)
	if err != nil {
		return err
	}
	pages, err := q.pages()
	if err != nil {
		return err
	}
	options := func(name string, song ...string) paper.Options {
		pages.Command = s.command(name, o, song...)
		return pages
	}
	at := slices.IndexFunc(kinds, func(k kind) bool { return k.Kind == q.Kind })
	if at < 0 {
		return &refusal{http.StatusNotFound, "no file of kind " + q.Kind, ""}
	}
	if kinds[at].Song && song.MIDI == nil {
		return noSong(q.Song)
	}
	var data bytes.Buffer
	if err := kinds[at].write(&data, &paperwork{p, song, options}); err != nil {
		return err
	}
	w.Header().Set("Content-Type", kinds[at].media)
	_, err = w.Write(data.Bytes())
	return err
}

// sheetsView are the pages of the sheet as SVG.
type sheetsView struct {
	Pages []string `json:"pages"`
}

// sheets answers with the pages of the patch sheet as they will print.
func (s *server) sheets(w http.ResponseWriter, r *http.Request) error {
	q, p, o, _, err := s.ask(w, r, false)
	if err != nil {
		return err
	}
	options, err := q.pages()
	if err != nil {
		return err
	}
	options.Command = s.command("map", o)
	pages := []string{}
	sheet := contract.NewSheet(p)
	for _, picture := range paper.Pages(say.Sheet(sheet), paper.Drawings(sheet.Map), options) {
		pages = append(pages, string(draw.AppendSVG(nil, picture)))
	}
	return send(w, &sheetsView{pages})
}
