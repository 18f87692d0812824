package paper

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/doc"
)

// TestTableHeads: where the heads are too wide for the page they are folded at
// spaces before a cell is cut, and no word of one is.
func TestTableHeads(t *testing.T) {
	const name = "a name as long as two columns"
	table := doc.Table{Columns: []doc.Column{doc.Words("What")}}
	for range 9 {
		table.Columns = append(table.Columns, doc.Number("A: damaged notes"))
	}
	table.Row("", append([]string{name}, strings.Fields(strings.Repeat("1 ", 9))...)...)
	f := newFlow("rig", "P", Options{})
	f.page("table", false)
	f.table(table)
	f.pour()
	count := map[string]int{}
	for _, x := range f.on().Texts() {
		count[x.Text]++
	}
	require.Equal(t, []int{1, 9}, []int{count[name], count["damaged"]}, "%v", count)
}

// TestTableFolds: a column that folds loses no word, and its row is as high as its
// lines: what follows lies below.
func TestTableFolds(t *testing.T) {
	words := strings.Fields(strings.Repeat("word another further ", 20))
	table := doc.Table{Columns: []doc.Column{doc.Words("What").Folds(20), doc.Number("Notes")}}
	table.Row("", strings.Join(words, " "), "1")
	table.Row("", "next", "2")
	f := newFlow("rig", "P", Options{})
	f.page("table", false)
	f.table(table)
	f.pour()
	var got []string
	last := 0.0
	for _, x := range f.on().Texts() {
		switch {
		case strings.Contains(x.Text, "word") || strings.Contains(x.Text, "another") || strings.Contains(x.Text, "further"):
			got, last = append(got, strings.Fields(x.Text)...), max(last, x.Bottom)
		case x.Text == "next":
			require.Greater(t, x.Top, last-1)
		}
	}
	require.Equal(t, words, got)
}
