package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// Channels writes what a song does on each channel.
func Channels(w io.Writer, c *contract.Channels, o Options) error {
	p := newPage(o)
	p.sentences(c.Summary)
	p.gap()
	p.lines(fixed(c.Table())...)
	return p.flush(w)
}
