package text

import (
	"io"

	"choirloft/cmd/choirloft/internal/contract"
)

// Check writes the findings about a rig, the worst first.
func Check(w io.Writer, c *contract.Check, o Options) error {
	p := newPage(o)
	p.answer(c.Summary+".", checkTone(c.Findings))
	p.findings(c.Findings)
	for i := range c.Songs {
		s := &c.Songs[i]
		p.gap()
		p.answer(s.Summary+".", checkTone(s.Findings))
		p.findings(s.Findings)
		p.gap()
		p.lines(fixed(s.Levels.Table())...)
		p.hanging(s.Levels.Cautions()...)
		p.hanging(s.Links.Lines()...)
	}
	if t := c.LevelTable(); len(t.Groups) > 0 {
		p.section(t)
		p.hanging(c.Levels.Cautions()...)
	}
	p.section(c.SupplyTable())
	p.section(c.RowTable())
	if cautions := c.PowerCautions(); len(cautions) > 0 {
		p.gap()
		p.hanging(cautions...)
	}
	return p.flush(w)
}

// section prints a table that has rows, after a gap.
func (p *page) section(t contract.Table) {
	if len(t.Groups) > 0 {
		p.gap()
		p.lines(fixed(t)...)
	}
}

func (p *page) findings(findings []contract.Finding) {
	for _, f := range findings {
		p.hanging(finding(f))
		if f.Hint != nil {
			p.hanging("    " + *f.Hint)
		}
	}
}

// finding is a finding without its hint. A number that nobody measured is
// named so.
func finding(f contract.Finding) string {
	text := f.Severity + ": " + f.Where + ": " + f.Text + " [" + f.Code + "]"
	if f.Assumed {
		text += " (assumed, not measured)"
	}
	return text
}

// Codes writes what each code of a finding means, and the way out.
func Codes(w io.Writer, c *contract.Codes, o Options) error {
	p := newPage(o)
	for _, x := range c.Codes {
		p.lines(x.Code + " (" + x.Severity + ")")
		p.hanging("    "+x.Meaning, "    way out: "+x.WayOut)
	}
	return p.flush(w)
}

// checkTone is that of the worst finding; findings come sorted.
func checkTone(findings []contract.Finding) colour {
	if len(findings) == 0 {
		return green
	}
	return map[string]colour{"error": red, "warning": yellow}[findings[0].Severity]
}
