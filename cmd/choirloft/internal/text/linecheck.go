package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// LineCheck writes the page to read along by. The cautions stand first.
func LineCheck(w io.Writer, c *contract.LineCheck, o Options) error {
	p := newPage(o)
	p.answer(c.Summary, green)
	p.hanging(c.Cautions()...)
	p.gap()
	p.sentences(c.HowLines()...)
	p.gap()
	p.lines(fixed(c.VoiceTable())...)
	if len(c.Stacks) > 0 {
		p.gap()
		p.lines(fixed(c.StackTable())...)
	}
	return p.flush(w)
}
