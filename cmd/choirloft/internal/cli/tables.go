package cli

import (
	"io"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
)

// The tables that a song can be written as, by the ends of their names.
const (
	notesTable  = "notes.csv"
	lossesTable = "losses.csv"
)

// isTable tells whether the output is that table.
func (o *output) isTable(name string) bool { return strings.HasSuffix(strings.ToLower(o.file), name) }

// checkTable refuses a table that is neither.
func (r *replay) checkTable() error {
	if r.out.ending() != ".csv" || r.out.isTable(notesTable) || r.out.isTable(lossesTable) {
		return nil
	}
	return &usageError{"-o " + r.out.file + ": want a name that ends in " + notesTable + " for every note, or in " + lossesTable + " for every loss", ""}
}

// wantsNotes tells whether every note is to be told.
func (r *replay) wantsNotes() bool {
	return r.out.isTable(notesTable) || r.all && (r.out.json || r.lines)
}

// tables sets the views that are tables.
func (r *replay) tables(code string, songs ...*contract.Result) {
	if r.out.ending() != ".csv" {
		return
	}
	records := contract.LossRecords
	if r.out.isTable(notesTable) {
		records = contract.NoteRecords
	}
	r.out.views = map[string]func(io.Writer) error{".csv": func(w io.Writer) error { return contract.CSV(w, records(code, songs...)) }}
}
