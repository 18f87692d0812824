package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// Tune writes what readings say: the answer, a row a voice, which trimmers to
// turn, and what the corrections change.
func Tune(w io.Writer, t *contract.Tune, o Options) error {
	p := newPage(o)
	tone := green
	if t.Bad() {
		tone = yellow
	}
	p.answer(t.Summary+".", tone)
	if len(t.Voices) > 0 {
		p.gap()
		p.lines(fixed(t.VoiceTable())...)
		p.hanging(t.Legend()...)
	}
	p.under("Turn, in this order:", append(t.TurnLines(), t.TurnCautions()...), len(t.Turns) > 0)
	p.under("Recordings that were refused:", t.RefusedLines(), true)
	p.under("Unisons:", t.UnisonLines(), true)
	p.under("What the corrections change:", t.FigureLines(), true)
	if len(t.Findings) > 0 {
		p.gap()
		p.findings(t.Findings)
	}
	p.gap()
	p.sentences(t.LastLines()...)
	return p.flush(w)
}

// under writes lines under a head, unless there are none.
func (p *page) under(head string, lines []string, wanted bool) {
	if len(lines) == 0 || !wanted {
		return
	}
	p.gap()
	p.lines(head)
	for _, line := range lines {
		p.hanging("  " + line)
	}
}
