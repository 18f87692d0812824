package say

import (
	"testing"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/prose"
)

// proseOf is what a document says in sentences: not the cells of its tables.
func proseOf(d *doc.Doc) (all []string) {
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case doc.Answer:
			all = append(all, b.Text)
		case doc.Heading:
			all = append(all, b.Text)
		case doc.Paragraph:
			all = append(all, b.Text)
		case doc.Aside:
			all = append(all, b.Text)
		case doc.List:
			for _, item := range b.Items {
				all = append(append(all, item.Text), item.Below...)
			}
		case doc.Table:
			for _, c := range b.Columns {
				all = append(all, c.Head, c.Legend)
			}
		case doc.Findings:
			for _, f := range b {
				all = append(all, f.Text, f.Hint)
			}
		}
	}
	return all
}

// TestSentencesAreShort: no document has a sentence of more than 25 words.
func TestSentencesAreShort(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range everything(t) {
		for _, text := range proseOf(s.doc(s.value)) {
			if seen[text] {
				continue
			}
			seen[text] = true
			for _, long := range prose.Long(text) {
				if !seen[long] {
					t.Errorf("%s: %d words: %s", s.name, prose.Words(long), long)
				}
				seen[long] = true
			}
		}
	}
}
