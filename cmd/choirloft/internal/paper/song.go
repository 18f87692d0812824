package paper

import (
	"io"
	"strconv"

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
	Window contract.Window // that is drawn; zero for the whole song
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

// figure draws the song on pages of their own; by themselves, the same pictures.
func (s *Song) figure(f *flow) {
	f.rules = say.Rules(s.Replay)
	if f.bare {
		f.pages = nil
		for _, x := range s.pictures() {
			f.alone(x.draw(pictureWidth, s.height(x.window)))
		}
		return
	}
	f.dropHeading()
	f.dropEmpty()
	s.lanes(f)
	f.page("", false)
}

// alone adds a picture that goes out by itself to those of a document on a screen.
func (f *flow) alone(p *draw.Picture) {
	f.pages = append(f.pages, signed(p, f.name, "", f.fingerprint, footLines(f.o.Command, f.rules)))
}

// height is that of the lanes of a window by themselves.
func (s *Song) height(w contract.Window) float64 {
	return figures.Tallest(s.Lanes, &s.Replay.Result, w, pictureWidth, max(pictureHeight, 75+2.2*float64(len(s.Lanes.Voices))))
}

// window is what is drawn.
func (s *Song) window() contract.Window {
	if s.Window == (contract.Window{}) {
		return s.Lanes.All()
	}
	return s.Window
}

// scenes are those of a song that is drawn whole and has no room on one picture; else nil.
func (s *Song) scenes() *contract.Scenes {
	if s.Window != (contract.Window{}) {
		return nil
	}
	return s.Lanes.Scenes(&s.Replay.Result)
}

// songPicture is one of the pictures of a song.
type songPicture struct {
	title  string
	window contract.Window // of lanes
	draw   func(width, height float64) *draw.Picture
}

// pictures are those of the song: of a long one first the whole, then what is heard plainly.
func (s *Song) pictures() (all []songPicture) {
	add := func(title string, w contract.Window) {
		all = append(all, songPicture{title, w, func(width, height float64) *draw.Picture {
			return figures.Lanes(s.Lanes, &s.Replay.Result, w, width, height)
		}})
	}
	title := "What each voice plays: " + say.SongLabel(&s.Replay.Song)
	scenes := s.scenes()
	if scenes == nil {
		for _, w := range s.split() {
			add(title, w)
		}
		return all
	}
	all = append(all, songPicture{"What you would hear of the losses: " + say.SongLabel(&s.Replay.Song), s.Lanes.All(), func(width, _ float64) *draw.Picture {
		return figures.Overview(s.Lanes, &s.Replay.Result, scenes, width)
	}})
	for i := range scenes.List {
		x := &scenes.List[i]
		add("Passage "+strconv.Itoa(i+1)+", "+say.SceneBars(x, s.Lanes.HasBars)+": "+say.SongLabel(&s.Replay.Song), x.Window)
	}
	return all
}

// split is what is drawn in pieces of one page each.
func (s *Song) split() []contract.Window {
	bars := barsAPage
	for len(s.Lanes.Split(s.window(), bars)) > mostPages {
		bars *= 2
	}
	return s.Lanes.Split(s.window(), bars)
}

// Picture is a song on one picture: of a long one the whole, and below it where most is heard.
func (s *Song) Picture() *draw.Picture {
	scenes := s.scenes()
	if scenes == nil {
		return figures.Lanes(s.Lanes, &s.Replay.Result, s.window(), pictureWidth, s.height(s.window()))
	}
	most := scenes.Most()
	if most == nil {
		return figures.Overview(s.Lanes, &s.Replay.Result, scenes, pictureWidth)
	}
	p := figures.Strip(s.Lanes, &s.Replay.Result, scenes.Only(most), pictureWidth)
	lanes := figures.Lanes(s.Lanes, &s.Replay.Result, most.Window, pictureWidth, s.height(most.Window))
	p.Place(0, p.Height+2, lanes)
	p.Height += 2 + lanes.Height
	return p
}

// SVG writes the picture of the song.
func (s *Song) SVG(w io.Writer) error { return draw.SVG(w, s.signed()) }

// PNG writes the picture of the song.
func (s *Song) PNG(w io.Writer) error { return s.png(w, s.signed()) }

func (s *Song) signed() *draw.Picture {
	what := say.SongLabel(&s.Replay.Song) + " on " + unit.Count(s.Replay.Demand.Voices, "voice")
	return signed(s.Picture(), what, s.Replay.Rig, s.Replay.Fingerprint, footLines(s.Options.Command, say.Rules(s.Replay)))
}

// Pages writes the pictures of the song as a document.
func (s *Song) Pages(w io.Writer, o Options) error {
	f := s.flow(o)
	s.lanes(f)
	return draw.PDF(w, draw.About{Title: say.SongLabel(&s.Replay.Song), Date: o.Date}, f.finish()...)
}

func (s *Song) flow(o Options) *flow { return newFlow(s.Replay.Rig, s.Replay.Fingerprint, o) }

// lanes draws the pictures, a page each.
func (s *Song) lanes(f *flow) {
	f.rules = say.Rules(s.Replay)
	for _, x := range s.pictures() {
		f.page(x.title, true)
		f.picture(x.draw)
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
