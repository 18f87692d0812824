package doc

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text, indent string
		want         []string
	}{
		{"", "", []string{""}},
		{"one two", "", []string{"one two"}},
		{"one two t", "", []string{"one two t"}}, // 9 characters, the width
		{"one two th", "", []string{"one two", "th"}},
		{"one two three four", "  ", []string{"one two", "  three", "  four"}},
		{" a bc defg hi", "  ", []string{" a bc", "   defg", "   hi"}},
		{"unbreakable-word", "  ", []string{"unbreakab", "  le-word"}}, // a word longer than a line is broken
		{"an unbreakable-word", "", []string{"an", "unbreakab", "le-word"}},
		{"♯♯♯♯ ♯♯♯♯", "", []string{"♯♯♯♯ ♯♯♯♯"}}, // characters, not bytes
	} {
		require.Equal(t, c.want, Wrap(c.text, 9, c.indent), "%q", c.text)
	}
}

func TestColourIsForTerminals(t *testing.T) {
	d := &Doc{}
	d.Add(Answer{Text: "Nothing wrong.", Tone: Good})
	require.Equal(t, "Nothing wrong.\n", text80(t, d, TextOptions{}))
	require.Equal(t, "\x1b[32mNothing wrong.\x1b[0m\n", text80(t, d, TextOptions{Colour: true}))
}

func text80(t *testing.T, d *Doc, o TextOptions) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, Text(&b, d, o))
	return b.String()
}

// wide is a table of 10+2+10+2+20+2+6 characters and its indent of 2.
func wide() Table {
	t := Table{Columns: []Column{Words("Name"), Number("Second one").Ranked(2), Words("What is said").Means("in words"), Number("Last of all").Ranked(1)}}
	t.Row("", "0123456789", "1234567890", "twenty or so letters", "123456")
	return t
}

func TestColumnsGoByRank(t *testing.T) {
	for width, heads := range map[int][]string{
		54: {"Name", "Second one", "What is said", "Last of all"},
		53: {"Name", "What is said", "Last of all"}, // rank 2 first
		42: {"Name", "What is said", "Last of all"},
		41: {"Name", "What is said"},
		10: {"Name", "What is said"}, // rank 0 stays
	} {
		var got []string
		for _, c := range wide().narrowed(width).Columns {
			got = append(got, c.Head)
		}
		require.Equal(t, heads, got, "%d", width)
	}
}

// TestTables: heads break between words only, words fold where columns cannot
// go, and a legend goes with its column.
func TestTables(t *testing.T) {
	d := &Doc{}
	d.Under("Heading", wide())
	require.Equal(t, `Heading
                                                  Last
  Name        Second one  What is said          of all
  0123456789  1234567890  twenty or so letters  123456
What is said: in words
`, text80(t, d, TextOptions{}))
	require.Equal(t, `Heading
  Name        What is said
  0123456789  twenty or so
                letters
What is said: in words

Left out at this width:
    Second one, Last of
    all.
`, text80(t, d, TextOptions{Width: 26}))
}

// TestARowPrintsAsBefore: where widths are fixed, what is too long pushes its
// own line only.
func TestARowPrintsAsBefore(t *testing.T) {
	table := Table{Columns: []Column{Number("No.").Wide(3), Words("Name").Wide(4), Words("Part").Wide(4)}}
	table.Row("On main", "1", "K1", "pad")
	before := tableLines(table, 80)
	require.Equal(t, []string{"  No.  Name  Part", "  On main:", "    1  K1    pad"}, before)
	table.Row("On main", "1000", "Longname1", "♯")
	require.Equal(t, append(before, "  1000  Longname1  ♯"), tableLines(table, 80))
	require.Equal(t, []string{"  1000  Longname1", "        ♯"}, fixedRow(table.Columns, []string{"1000", "Longname1", "♯"}, 18))
}

func TestWhatIsEmptyIsLeftOut(t *testing.T) {
	d := &Doc{}
	d.Under("Nothing", Table{}, List{}, Paragraph{}, Findings{}, Aside{}, Figure{})
	d.Under("Something", Paragraph{}, Aside{Text: "x"})
	require.Equal(t, []string{"Something"}, d.Headings())
	require.Equal(t, "Something\nx\n", text80(t, d, TextOptions{}))
}

func TestASideBySideTable(t *testing.T) {
	table := Table{Columns: []Column{Words("Voice"), Number("Notes")}, Aside: true}
	for _, v := range []string{"K1", "K2", "K3", "K4", "L1", "L2", "L3"} {
		table.Row("", v, "7")
	}
	require.Equal(t, []string{"  Voice  Notes  Voice  Notes", "  K1         7  L1         7", "  K2         7  L2         7", "  K3         7  L3         7", "  K4         7"},
		tableLines(table, 80))
	require.Len(t, tableLines(table, 20), 8) // one below the other
}
