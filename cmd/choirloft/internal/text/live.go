package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// Live writes what happened in a session.
func Live(w io.Writer, l *contract.Live, o Options) error {
	p := newPage(o)
	tone := green
	if l.Damaged > 0 {
		tone = red
	}
	p.answer(l.Summary+".", tone)
	p.hanging(l.Lines()...)
	return p.flush(w)
}
