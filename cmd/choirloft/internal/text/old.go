package text

import "choirloft/cmd/choirloft/internal/contract"

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

// checkTone is that of the worst finding; findings come sorted.
func checkTone(findings []contract.Finding) colour {
	if len(findings) == 0 {
		return green
	}
	return map[string]colour{"error": red, "warning": yellow}[findings[0].Severity]
}
