package patchlist

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// mostColumns is how many columns a table may have.
const mostColumns = 256

// row is a row of a table that is not empty.
type row struct {
	number int // as a spreadsheet counts it, from 1
	cells  []string
}

// cell is the text of a cell, empty where the row has none.
func (r *row) cell(column int) string {
	if column < 0 || column >= len(r.cells) {
		return ""
	}
	return r.cells[column]
}

// decoded makes UTF-8 with line feeds of what spreadsheets write.
func decoded(data []byte) (string, error) {
	text := string(data)
	switch {
	case len(data) > profiles.MaxBytes:
		return "", fmt.Errorf("the file has more than %d bytes", profiles.MaxBytes)
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}):
		text = wide(data[2:], 0, 1)
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		text = wide(data[2:], 1, 0)
	}
	text = strings.TrimPrefix(text, "\uFEFF")
	if !utf8.ValidString(text) {
		at := 0
		for text[at] < utf8.RuneSelf || utf8.ValidString(text[at:at+1]) || !invalidAt(text, at) {
			at++
		}
		return "", fmt.Errorf("row %d: byte %02Xh is not UTF-8, want the file saved as UTF-8", 1+strings.Count(text[:at], "\n"), text[at])
	}
	if i := strings.IndexByte(text, 0); i >= 0 {
		return "", fmt.Errorf("row %d has a zero byte, want a table as CSV", 1+strings.Count(text[:i], "\n"))
	}
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	return text, nil
}

func invalidAt(text string, at int) bool {
	r, size := utf8.DecodeRuneInString(text[at:])
	return r == utf8.RuneError && size == 1
}

// wide reads UTF-16, the low byte of a unit at one place and the high one at another.
func wide(data []byte, low, high int) string {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = uint16(data[2*i+low]) | uint16(data[2*i+high])<<8
	}
	return string(utf16.Decode(units))
}

// rows are the rows of a table whose cells are set apart in one way. Blank lines and
// rows of empty cells are counted and left out.
func rows(text string, comma rune) ([]row, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord = comma, -1
	var all []row
	number, below := 0, 1 // the row before, and the line below it
	for {
		cells, err := r.Read()
		switch {
		case errors.Is(err, io.EOF):
			return all, nil
		case err != nil:
			return nil, unquoted(err)
		case len(cells) > mostColumns:
			return nil, fmt.Errorf("row %d has %d columns, want at most %d", number+1, len(cells), mostColumns)
		}
		line, _ := r.FieldPos(0)
		number += 1 + line - below
		below = line + 1
		some := false
		for i, c := range cells {
			below += strings.Count(c, "\n")
			cells[i] = strings.Join(strings.Fields(c), " ")
			some = some || cells[i] != ""
		}
		if some {
			all = append(all, row{number, cells})
		}
	}
}

// unquoted says what is wrong with quotes, which is all that CSV can have wrong.
func unquoted(err error) error {
	var parse *csv.ParseError
	if !errors.As(err, &parse) {
		return err
	}
	return fmt.Errorf("line %d, character %d: a quote stands alone, want quotes round a whole cell, and doubled inside it", parse.Line, parse.Column)
}

// columnName is what spreadsheets call a column, from 0: A, B … Z, AA.
func columnName(column int) string {
	name := string(rune('A' + column%26))
	if column >= 26 {
		return columnName(column/26-1) + name
	}
	return name
}

// quote shows a cell in a message.
func quote(text string) string {
	if utf8.RuneCountInString(text) > 40 {
		text = string([]rune(text)[:40]) + "…"
	}
	return `"` + unit.Printable(text) + `"`
}
