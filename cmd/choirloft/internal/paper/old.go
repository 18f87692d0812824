package paper

import (
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
)

// old returns a table as a document has it.
func old(t contract.Table) doc.Table {
	out := doc.Table{}
	for _, c := range t.Columns {
		out.Columns = append(out.Columns, doc.Column{Head: c.Head, Right: c.Right, Width: c.Width})
	}
	for _, g := range t.Groups {
		out.Groups = append(out.Groups, doc.Group{Title: g.Title, Rows: g.Rows})
	}
	return out
}

// oldFindings returns findings as a document has them.
func oldFindings(list []contract.Finding) doc.Findings {
	var out doc.Findings
	for _, f := range list {
		x := doc.Finding{Severity: f.Severity, Code: f.Code, Where: f.Where, Text: f.Text, Assumed: f.Assumed}
		if f.Hint != nil {
			x.Hint = *f.Hint
		}
		out = append(out, x)
	}
	return out
}
