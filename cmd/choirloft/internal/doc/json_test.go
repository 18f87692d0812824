package doc

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestJSON: every block comes with its kind and with the words that text has of
// it. U+202E turns the direction of writing, so it is written out.
func TestJSON(t *testing.T) {
	table := Table{Columns: []Column{Words("K\u202eey"), Number("Lost: all").Means("of gate time.")}}
	table.Row("On main", "C4", "2.00 s")
	table.Row("On main", "D4", "1.00 s")
	table.About("loss 3")
	d := &Doc{Title: "a\u202eb", Plan: "P1"}
	d.Add(Answer{"Fine.", Good}, Heading{Text: "Losses"}, Paragraph{"p\x1b"}, table, Aside{"x"}, Figure{"lanes"},
		List{Items: []Item{{"Mute", []string{"first\n"}, []string{"pull cv1\n"}, true}}, Boxes: true}, Findings{{Severity: "note", Code: "few", Where: "K1", Text: "few", Hint: "buy", Assumed: true,
			Facts: []Fact{{"lo\u202ead", "89.7", "%", true}}}})
	got, err := json.Marshal(d)
	require.NoError(t, err)
	require.JSONEq(t, `{"title": "a\\u202eb", "plan": "P1", "blocks": [
		{"kind": "answer", "text": "Fine.", "tone": "good"},
		{"kind": "heading", "text": "Losses"},
		{"kind": "paragraph", "text": "p\\x1b"},
		{"kind": "table", "columns": [{"head": "K\\u202eey"}, {"head": "Lost: all", "right": true, "legend": "of gate time."}],
			"groups": [{"title": "On main", "rows": [["C4", "2.00 s"], ["D4", "1.00 s"]], "about": ["", "loss 3"]}], "legends": ["Lost: of gate time."]},
		{"kind": "aside", "text": "x"},
		{"kind": "figure", "name": "lanes"},
		{"kind": "list", "items": [{"text": "Mute", "below": ["first\\n"], "about": ["pull cv1\\n"], "optional": true}], "boxes": true},
		{"kind": "findings", "findings": [{"severity": "note", "code": "few", "where": "K1", "text": "few", "hint": "buy", "assumed": true,
			"facts": [{"name": "lo\\u202ead", "figure": "89.7", "unit": "%", "assumed": true}],
			"line": "note: K1: few [few] (assumed, not measured)"}]}]}`, string(got))
}
