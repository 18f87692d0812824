package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// Written writes what was dealt, what it lost and what the files want of
// whoever plays them.
func Written(w io.Writer, r *contract.Written, o Options) error {
	p := newPage(o)
	p.answer(r.Summary, writtenTone(r))
	p.hanging(r.FileLines()...)
	p.sentences(r.RecordingLine(), r.DivisionLine(), r.BendLine())
	for i := range r.Passes {
		pass := &r.Passes[i]
		p.gap()
		p.sentences(r.PassLine(i), pass.Summary, pass.Verdict)
		p.losses(&pass.Result)
		p.remarks(&pass.Result, pass.Lost()...)
	}
	return p.flush(w)
}

// writtenTone is the worst of the passes'.
func writtenTone(r *contract.Written) colour {
	worst := green
	for i := range r.Passes {
		switch t := tone(&r.Passes[i].Totals); {
		case t == red:
			return red
		case t == yellow:
			worst = yellow
		}
	}
	return worst
}
