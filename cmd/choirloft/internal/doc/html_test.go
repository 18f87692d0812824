package doc

import (
	"encoding/xml"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// node is an element of a page: its attributes, its text and what is in it.
type node struct {
	name  string
	attrs map[string]string
	text  string
	in    []*node
}

// all are the elements of a name below one, in order.
func (n *node) all(name string) (list []*node) {
	for _, x := range n.in {
		if x.name == name {
			list = append(list, x)
		}
		list = append(list, x.all(name)...)
	}
	return list
}

// parsed reads a page with a reader that is not ours.
func parsed(t *testing.T, page string) *node {
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	top := &node{}
	open := []*node{top}
	for {
		token, _ := d.Token()
		switch x := token.(type) {
		case nil:
			require.Len(t, open, 1)
			return top
		case xml.StartElement:
			n := &node{name: x.Name.Local, attrs: map[string]string{}}
			for _, a := range x.Attr {
				n.attrs[a.Name.Local] = a.Value
			}
			open[len(open)-1].in = append(open[len(open)-1].in, n)
			open = append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			open[len(open)-1].text += string(x)
		}
	}
}

func shown(t *testing.T, d *Doc) *node {
	var b strings.Builder
	require.NoError(t, HTML(&b, d, HTMLOptions{}))
	return parsed(t, b.String())
}

// Whoever hears a page hears its language, of each table what it is about, and of each cell
// its heads (HTML Living Standard, 4.9.2 and 4.9.10).
func TestHTMLIsHeard(t *testing.T) {
	wide := Table{Columns: []Column{Number("No."), Words("Voice"), Words("State"), Words("Pitch"), Words("Gate & more")}}
	wide.Row("Bank K", "1", "K1", "in", "cv 1", "-")
	wide.Row("Bank K", "", "", "", "cv 2", "gate 2")
	small := Table{Columns: []Column{Words("Part"), Number("Notes")}}
	small.Row("", "pad", "3")
	d := &Doc{Title: "A rack"}
	d.Add(small)
	d.Under("Voices", wide, small)
	top := shown(t, d)
	require.Equal(t, "en", top.all("html")[0].attrs["lang"])
	require.Equal(t, "width=device-width, initial-scale=1", top.all("meta")[1].attrs["content"])
	var captions []string
	for _, table := range top.all("table") {
		require.Equal(t, "caption", table.in[0].name)
		captions = append(captions, table.in[0].text)
		for _, th := range table.all("th") {
			require.Contains(t, []string{"col", "row", "rowgroup"}, th.attrs["scope"], th.text)
		}
	}
	require.Equal(t, []string{"A rack", "Voices", "Voices, 2"}, captions)

	rows := top.all("table")[1].all("tbody")[0].all("tr")
	require.Equal(t, []string{"rowgroup", "Bank K"}, []string{rows[0].in[0].attrs["scope"], rows[0].in[0].text})
	var heads, classes []string
	for _, cell := range rows[1].in {
		heads, classes = append(heads, cell.attrs["data-head"]), append(classes, cell.attrs["class"])
	}
	require.Equal(t, []string{"No.", "Voice", "State", "Pitch", "Gate & more"}, heads)
	require.Equal(t, []string{"n", "", "", "", "none"}, classes) // a card leaves out what says nothing
	require.Equal(t, []string{"th", "K1"}, []string{rows[1].in[1].name, rows[1].in[1].text})
	require.Equal(t, []string{"th", "cv 2"}, []string{rows[2].in[3].name, rows[2].in[3].text})
	require.Empty(t, top.all("table")[2].attrs["class"], "a narrow table stays one on a phone")
	require.Empty(t, top.all("table")[2].all("td")[0].attrs["data-head"])
}

// What is only on paper is left out with all that stands below its heading.
func TestOffPaper(t *testing.T) {
	var d Doc
	d.Under("First", Paragraph{"one"})
	d.Paper("Labels", Paragraph{"cut here"}, Figure{"labels"})
	d.Under("Last", Paragraph{"two"})
	require.Equal(t, []string{"First", "Labels", "Last"}, d.Headings())
	require.Equal(t, []string{"First", "Last"}, d.OffPaper().Headings())
	require.Len(t, d.OffPaper().Blocks, 4)
}
