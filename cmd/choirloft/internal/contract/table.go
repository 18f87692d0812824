package contract

// Table is rows in groups. A row depends on nothing but itself and what stands
// before it, so that a view which keeps to the widths prints an old row the
// same when new ones follow.
type Table struct {
	Columns []TableColumn
	Groups  []Group
}

// TableColumn is a column of a table.
type TableColumn struct {
	Head  string
	Width int  // in characters, for views of fixed width; what is longer runs over
	Right bool // numbers stand to the right
}

// Group is rows under a title, which may be empty.
type Group struct {
	Title string
	Rows  [][]string
}

// add appends a row under a title, which begins a group where it is new.
func (t *Table) add(title string, row ...string) {
	if n := len(t.Groups); n == 0 || t.Groups[n-1].Title != title {
		t.Groups = append(t.Groups, Group{Title: title})
	}
	last := &t.Groups[len(t.Groups)-1]
	last.Rows = append(last.Rows, row)
}
