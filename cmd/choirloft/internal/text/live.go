package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/report"
)

// Live writes what happened in a session.
func Live(w io.Writer, l *report.Live, o Options) error {
	p := newPage(o)
	tone := green
	if l.Damaged > 0 {
		tone = red
	}
	p.answer(l.Summary+".", tone)
	p.hanging(l.Lines()...)
	return p.flush(w)
}
