package tuning

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"choirloft/profiles"
)

// ReadCSV reads readings from a table with a head (RFC 4180; lines that begin
// with # are comments). Where semicolons part the head they part every line, and
// numbers may have a decimal comma: spreadsheets write it so where the comma is
// the decimal sign. It returns either readings or every fault there is; faults
// call the file name.
func ReadCSV(name string, data []byte, rig *profiles.Rig) ([]Reading, profiles.Faults) {
	t := &table{name: name, data: bytes.TrimPrefix(data, []byte("\uFEFF"))}
	if len(data) > profiles.MaxBytes {
		return nil, t.only(1, 1, "the file has more than %d bytes", profiles.MaxBytes)
	}
	if !utf8.Valid(data) {
		return nil, t.only(1, 1, "the file is not UTF-8")
	}
	rows, faults := t.rows()
	if len(faults) > 0 {
		return nil, faults
	}
	return newInterpreter(rig).readings(rows)
}

// table reads rows from CSV.
type table struct {
	name  string
	data  []byte
	lines []string // of data, for columns in characters
	// semicolons part its fields, and commas are decimal signs.
	semicolons bool
	through    cell // what a comment says that keys went through
}

// saysThrough finds the comment that says it.
func (t *table) saysThrough() {
	for i, line := range t.lines {
		if text, found := strings.CutPrefix(line, "#"); found {
			if said, found := strings.CutPrefix(strings.TrimSpace(text), "through:"); found {
				t.through = cell{strings.TrimSpace(said), t.at(i+1, 1), "through"}
				return
			}
		}
	}
}

// partedBySemicolons tells how the head is written.
func (t *table) partedBySemicolons() bool {
	for _, line := range t.lines {
		if strings.TrimSpace(line) != "" && line[0] != '#' {
			return strings.Contains(line, ";") && !strings.Contains(line, ",")
		}
	}
	return false
}

// only is a single fault.
func (t *table) only(line, column int, format string, args ...any) profiles.Faults {
	return profiles.Faults{{Pos: profiles.Pos{File: t.name, Line: line, Column: column}, Message: fmt.Sprintf(format, args...)}}
}

// rows reads the head and what follows it.
func (t *table) rows() (rows []row, faults profiles.Faults) {
	t.lines = strings.Split(string(t.data), "\n")
	t.saysThrough()
	r := csv.NewReader(bytes.NewReader(t.data))
	r.Comment, r.TrimLeadingSpace = '#', true
	if t.semicolons = t.partedBySemicolons(); t.semicolons {
		r.Comma = ';'
	}
	head, err := r.Read()
	if errors.Is(err, io.EOF) {
		return nil, t.only(1, 1, "the file is empty, want a head that names the columns: %s", strings.Join(columns, ", "))
	}
	if err != nil {
		return nil, t.broken(err)
	}
	if faults = t.checkHead(r, head); len(faults) > 0 {
		return nil, faults
	}
	for {
		fields, err := r.Read()
		switch {
		case errors.Is(err, io.EOF) && len(rows) == 0:
			return nil, t.only(1, 1, "found no readings below the head")
		case errors.Is(err, io.EOF):
			return rows, faults
		case err != nil:
			return nil, append(faults, t.broken(err)...)
		}
		rows = append(rows, t.row(r, head, fields, len(rows)+1))
	}
}

func (t *table) row(r *csv.Reader, head, fields []string, n int) row {
	out := row{pos: t.pos(r, 0), path: fmt.Sprintf("reading %d", n), cells: map[string]cell{}}
	if t.through.path != "" {
		out.cells["through"] = t.through
	}
	for i, text := range fields {
		if text = strings.TrimSpace(text); text != "" {
			name := strings.TrimSpace(head[i])
			if t.semicolons && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
				text = strings.Replace(text, ",", ".", 1)
			}
			out.cells[name] = cell{text, t.pos(r, i), out.path + "." + name}
		}
	}
	return out
}

// checkHead refuses columns that there are not, or twice.
func (t *table) checkHead(r *csv.Reader, head []string) (faults profiles.Faults) {
	for i, name := range head {
		name = strings.TrimSpace(name)
		message := ""
		switch {
		case !slices.Contains(columns, name):
			message = fmt.Sprintf("unknown column %q, want some of %s", shown(name), strings.Join(columns, ", "))
		case slices.IndexFunc(head, func(s string) bool { return strings.TrimSpace(s) == name }) < i:
			message = fmt.Sprintf("the column %s stands here twice", name)
		default:
			continue
		}
		faults = append(faults, profiles.Fault{Pos: t.pos(r, i), Message: message})
	}
	return faults
}

// pos is the place of a field, its column in characters.
func (t *table) pos(r *csv.Reader, field int) profiles.Pos {
	line, column := r.FieldPos(field)
	return t.at(line, column)
}

func (t *table) at(line, column int) profiles.Pos {
	if line >= 1 && line <= len(t.lines) {
		text := t.lines[line-1]
		column = utf8.RuneCountInString(text[:min(max(column-1, 0), len(text))]) + 1
	}
	return profiles.Pos{File: t.name, Line: line, Column: column}
}

// broken turns an error of the CSV reader into a fault.
func (t *table) broken(err error) profiles.Faults {
	var parse *csv.ParseError
	if !errors.As(err, &parse) {
		return t.only(1, 1, "%v", err)
	}
	message := "this is no CSV: " + parse.Err.Error()
	if errors.Is(parse.Err, csv.ErrFieldCount) {
		message = "this line has more or fewer fields than the head"
	}
	return profiles.Faults{{Pos: t.at(parse.Line, parse.Column), Message: message}}
}
