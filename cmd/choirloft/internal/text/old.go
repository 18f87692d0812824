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

// Options say how a view is laid out.
type Options struct {
	Colour bool // on the sentence that says the answer
	Width  int  // in characters, for sentences; 0 for 80
}

// mostLosses is how many losses are shown; the rest is in the JSON.
const mostLosses = 8

func (p *page) lossTable(title string, worst []*contract.Loss) {
	if len(worst) == 0 {
		return
	}
	p.gap()
	p.sentences(title)
	p.lines(ungrouped(contract.LossTable(worst))...)
}
