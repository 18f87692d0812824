package cli

import (
	"context"
	"fmt"
	"io"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/paper"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/plan"
)

// pitchOf says how far off one voice may be, and why.
func (a *app) pitchOf(ctx context.Context, out *output, p *plan.Plan, name string) error {
	if out.ending() == ".csv" {
		return &usageError{fmt.Sprintf("-o %s: with --pitch there are .txt, .json, .md, .html, .pdf and .svg", out.file), ""}
	}
	voice, err := p.Voice("--pitch", name)
	if err != nil {
		return err
	}
	r := contract.NewPitch(p, voice)
	out.figures = paper.PitchFigures(r)
	out.views = map[string]func(io.Writer) error{".svg": func(w io.Writer) error { return paper.PitchSVG(w, r, out.options) }}
	return a.tell(ctx, out, r, say.Pitch(r))
}
