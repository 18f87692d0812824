package paper

import (
	"io"

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

// Figures are what the document of the song has drawn.
func (s *Song) Figures() Figures { return Figures{"lanes": s.figure} }

// figure draws the song on pages of their own; by itself, on one picture.
func (s *Song) figure(f *flow) {
	if f.bare {
		f.alone(s.Picture())
		return
	}
	title := f.titles[len(f.titles)-1]
	f.dropEmpty()
	s.lanes(f)
	f.page(title, false)
}

// alone makes a picture the only page, or the next of those that stand by themselves.
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
func (s *Song) PNG(w io.Writer) error { return s.png(w, s.signed()) }

func (s *Song) signed() *draw.Picture {
	what := say.SongLabel(&s.Replay.Song) + " on " + unit.Count(s.Replay.Demand.Voices, "voice")
	return signed(s.Picture(), what, s.Replay.Rig, s.Replay.Fingerprint, footLines(s.Options.Command, say.Rules(s.Replay)))
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
