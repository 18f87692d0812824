package paper

import (
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/say"
)

// changes are the ways between the set-ups of a rack, a page each.
func (f *flow) changes(list []*contract.Repatch) {
	for _, r := range list {
		f.page("Repatch: "+r.From+" to "+r.To, false)
		for _, b := range say.Repatch(r).Blocks {
			f.block(b, nil)
		}
	}
}

// change writes the same on a page for a screen.
func (d *document) change(r *contract.Repatch) {
	d.heading("h2", "Repatch: "+r.From+" to "+r.To)
	d.Write(doc.AppendHTML(nil, say.Repatch(r).Blocks))
}
