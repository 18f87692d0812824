package paper

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/say"
)

// SizeSVG writes the sizing curves as a picture.
func SizeSVG(w io.Writer, s *contract.Size, o Options) error { return draw.SVG(w, sizePicture(s, o)) }

// SizePNG writes the sizing curves as a picture.
func SizePNG(w io.Writer, s *contract.Size, o Options) error {
	return o.png(w, sizePicture(s, o))
}

func sizePicture(s *contract.Size, o Options) *draw.Picture {
	p := figures.Curve(&s.SizeResult, pictureWidth, pictureHeight)
	return signed(p, say.SongLabel(&s.Song), s.Rig, s.Fingerprint, footLines(o.Command, say.SizeRules(s)))
}

// SizePages writes the sizing curves as a document.
func SizePages(w io.Writer, s *contract.Size, o Options) error {
	f := newFlow(s.Rig, s.Fingerprint, o)
	f.rules = say.SizeRules(s)
	f.page("How many voices: "+say.SongLabel(&s.Song), true)
	f.picture(func(width, height float64) *draw.Picture { return figures.Curve(&s.SizeResult, width, height) })
	return draw.PDF(w, draw.About{Title: say.SongLabel(&s.Song), Date: o.Date}, f.finish()...)
}

// SizeFigures draws the figure of [say.Size].
func SizeFigures(s *contract.Size) Figures {
	return Figures{"curve": func(f *flow) {
		f.rules = say.SizeRules(s)
		f.spread(func(width, height float64) *draw.Picture { return figures.Curve(&s.SizeResult, width, height) })
	}}
}
