package paper

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
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

// What is left is as high in the columns that are left: behind a piece of 6 that sets the height,
// six of 1 stand as three and three, not as six and none.
func TestColumnsAreEven(t *testing.T) {
	f := newFlow("rig", "P", Options{})
	f.page("", false)
	at := map[float64]int{}
	one := piece{height: 1, draws: func(_ *draw.Picture, x, _ float64) { at[x]++ }}
	high := one
	high.height = 6
	f.pourBand([]piece{high, one, one, one, one, one, one}, 3)
	var counts []int
	for _, x := range f.lefts(3) {
		counts = append(counts, at[x])
	}
	require.Equal(t, []int{1, 3, 3}, counts)
}

// A record of two rows, the second without a name, is never broken.
func TestRecordIsWhole(t *testing.T) {
	f := newFlow("rig", "P", Options{})
	f.page("", false)
	table := doc.Table{Columns: []doc.Column{doc.Words("Voice"), doc.Words("Part")}}
	for range 3 {
		table.Row("", "K1", "pad")
		table.Row("", "", "bass")
	}
	f.table(table)
	pieces := f.galley[0].pieces // the head, and six rows
	require.Len(t, pieces, 7)
	for i, p := range pieces {
		require.Equal(t, i%2 == 1 || i == 0, p.keep, i)
	}
}
