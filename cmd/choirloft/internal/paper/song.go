package paper

import (
	"io"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/unit"
)

// Song is a replay with what its pictures are drawn from.
type Song struct {
	Replay *contract.Replay
	Lanes  *contract.Lanes
	Window figures.Window // that is drawn
	Options
}

// barsAPage is how many bars of a song fit on a page.
const barsAPage = 16

// mostPages is how many pages of pictures a song has at most: longer ones have
// more bars to a page.
const mostPages = 40

// width and height of a picture by itself, in mm.
const pictureWidth, pictureHeight = 273.0, 170.0

// dots are those of a PNG to the mm: about 127 to the inch.
const dots = 5

// Figures are what the document of the song has drawn.
func (s *Song) Figures() Figures { return Figures{"lanes": s.figure} }

// figure draws the song on pages of their own; by itself, on one picture.
func (s *Song) figure(f *flow) {
	if f.bare {
		f.alone(s.Picture())
		return
	}
	f.dropHeading()
	f.dropEmpty()
	s.lanes(f)
	f.page("", false)
}

// alone makes a picture the only page.
func (f *flow) alone(p *draw.Picture) {
	f.pages = []*draw.Picture{p}
	f.y = p.Height - 1
}

// Picture is a song on one picture.
func (s *Song) Picture() *draw.Picture {
	height := min(figures.Tallest(s.Lanes), max(pictureHeight, 75+2.2*float64(len(s.Lanes.Voices))))
	return figures.Lanes(s.Lanes, &s.Replay.Result, s.Window, pictureWidth, height)
}

// SVG writes the picture of the song.
func (s *Song) SVG(w io.Writer) error { return draw.SVG(w, s.signed()) }

// PNG writes the picture of the song.
func (s *Song) PNG(w io.Writer) error { return draw.PNG(w, s.signed(), dots) }

func (s *Song) signed() *draw.Picture {
	what := say.SongLabel(&s.Replay.Song) + " on " + unit.Count(s.Replay.Demand.Voices, "voice")
	return signed(s.Picture(), what, s.Replay.Rig, s.Replay.Fingerprint, footLines(s.Options.Command, say.Rules(s.Replay)))
}

// footLines are what stands below a picture: the command that drew it, and the rules.
func footLines(command, rules string) (lines []string) {
	for _, text := range []string{command, rules} {
		if text != "" {
			lines = append(lines, text)
		}
	}
	return lines
}

// footRow is the height of a line below a picture.
const footRow = 3.4

// caption writes lines from a height on, folded to a width, and returns how many it takes.
func caption(p *draw.Picture, x, y, width float64, lines []string) (rows int) {
	t := draw.Type{Size: remark, Ink: draw.Dark}
	for _, line := range lines {
		for _, part := range draw.Wrap(line, width, t) {
			rows++
			p.Text(x, y+footRow*float64(rows)-0.8, part, t)
		}
	}
	return rows
}

// signed adds a line above a picture that goes out by itself: what it shows, the rig
// and the code of the plan; and lines below it.
func signed(p *draw.Picture, what, rig, code string, below []string) *draw.Picture {
	const line = 11.0
	out := draw.New(p.Width, p.Height+line)
	out.Title, out.About = p.Title, strings.Join(append([]string{what + "; " + rig + ", plan " + code}, below...), ". ")+"."
	out.Place(0, line, p)
	t := draw.Type{Size: remark, Ink: draw.Dark, Align: draw.End}
	said := ", plan " + code
	half := out.Width/2 - 4
	out.Text(out.Width-2, 5.4, draw.Fit(rig, half-draw.Width(said, t), t)+said, t)
	title := draw.Type{Size: 4}
	out.Text(2, 5.6, draw.Fit(what, half, title), title)
	out.Height += footRow * float64(caption(out, 2, out.Height, out.Width-4, below))
	return out
}

// Pages writes the pictures of the song as a document, 16 bars to a page.
func (s *Song) Pages(w io.Writer, o Options) error {
	f := s.flow(o)
	s.lanes(f)
	return draw.PDF(w, draw.About{Title: say.SongLabel(&s.Replay.Song), Date: o.Date}, f.finish()...)
}

func (s *Song) flow(o Options) *flow { return newFlow(s.Replay.Rig, s.Replay.Fingerprint, o) }

// lanes draws the pictures, a page each.
func (s *Song) lanes(f *flow) {
	f.rules = say.Rules(s.Replay)
	bars := barsAPage
	for len(figures.Split(s.Lanes, s.Window, bars)) > mostPages {
		bars *= 2
	}
	for _, w := range figures.Split(s.Lanes, s.Window, bars) {
		f.page("What each voice plays: "+say.SongLabel(&s.Replay.Song), true)
		f.picture(func(width, height float64) *draw.Picture {
			return figures.Lanes(s.Lanes, &s.Replay.Result, w, width, height)
		})
	}
}

// picture fills the rest of a page, but for the lines below it.
func (f *flow) picture(draws func(width, height float64) *draw.Picture) {
	lines := footLines(f.o.Command, f.rules)
	below := footRow * float64(caption(draw.New(0, 0), 0, 0, f.width(), lines))
	f.on().Place(f.left(), f.y, draws(f.width(), f.bottom()-below-f.y))
	caption(f.on(), f.left(), f.bottom()-below, f.width(), lines)
	f.y = f.bottom()
}
