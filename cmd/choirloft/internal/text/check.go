package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/report"
)

// Check writes the findings about a rig, the worst first.
func Check(w io.Writer, c *report.Check, o Options) error {
	p := newPage(o)
	p.answer(c.Summary+".", checkTone(c.Findings))
	for _, f := range c.Findings {
		p.hanging(f.Severity + ": " + f.Where + ": " + f.Text)
		if f.Hint != nil {
			p.hanging("    " + *f.Hint)
		}
	}
	return p.flush(w)
}

// checkTone is that of the worst finding; findings come sorted.
func checkTone(findings []report.Finding) colour {
	if len(findings) == 0 {
		return green
	}
	return map[string]colour{"error": red, "warning": yellow}[findings[0].Severity]
}
