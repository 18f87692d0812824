package paper

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/say"
)

// PitchSVG writes the tuning error of a voice as a picture.
func PitchSVG(w io.Writer, r *contract.Pitch, o Options) error {
	p := figures.Pitch(r, pictureWidth, pictureHeight)
	return draw.SVG(w, signed(p, "Tuning error of "+r.Voice, r.Rig, r.Fingerprint, footLines(o.Command, "")))
}

// PitchFigures draws the figure of [say.Pitch].
func PitchFigures(r *contract.Pitch) Figures {
	return Figures{say.FigurePitch: func(f *flow) {
		f.spread(func(width, height float64) *draw.Picture { return figures.Pitch(r, width, height) })
	}}
}
