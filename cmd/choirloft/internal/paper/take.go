package paper

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/say"
)

// TakeSVG writes what was asked of each voice in a take, and what was heard.
func TakeSVG(w io.Writer, t *contract.Took, o Options) error { return draw.SVG(w, takePicture(t, o)) }

// TakePNG writes the same.
func TakePNG(w io.Writer, t *contract.Took, o Options) error {
	return o.png(w, takePicture(t, o))
}

func takePicture(t *contract.Took, o Options) *draw.Picture {
	p := figures.Take(t, pictureWidth, figures.TakeHeight(t))
	return signed(p, "A take: what was asked, what was heard", t.Rig, t.Fingerprint, footLines(o.Command, ""))
}

// TakeFigures draws the figure of [say.Took].
func TakeFigures(t *contract.Took) Figures {
	return Figures{say.FigureTake: func(f *flow) {
		f.spread(func(width, height float64) *draw.Picture { return figures.Take(t, width, height) })
	}}
}
