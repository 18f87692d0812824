package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// CV writes what a file of control voltages holds, the caution first, and what
// the song lost.
func CV(w io.Writer, c *contract.CV, o Options) error {
	p := newPage(o)
	p.answer(c.Summary, tone(&c.Result.Totals))
	p.answer("Caution: "+c.Caution, yellow)
	p.gap()
	p.sentences(c.Result.Summary, c.Result.Verdict)
	p.losses(c.Result)
	p.remarks(c.Result)
	p.gap()
	p.sentences("Which channel is which lane stands in " + c.Sheet + ".")
	p.sentences(c.Rest()...)
	return p.flush(w)
}

// CVSheet writes the text that lies beside the file.
func CVSheet(w io.Writer, c *contract.CV, o Options) error {
	p := newPage(o)
	p.sentences(c.Summary)
	p.sentences("CAUTION: " + c.Caution)
	p.gap()
	p.lines(fixed(c.ChannelTable())...)
	p.gap()
	p.sentences(c.Rest()...)
	return p.flush(w)
}
