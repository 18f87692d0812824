package patchlist

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"choirloft/profiles/unit"
)

// field is what a column says.
type field int

// The fields. A row a voice has pitch and gate; a row a jack has jack, kind and input.
const (
	none field = iota
	bank
	voice    // the number of a voice, or its name
	position // of a voice in its bank
	pitch
	gate
	jack
	kind
	input
	box
	channel
	port
	state
	keys
	remark
	// What follows is for the table that choirloft map writes.
	rowKind
	lane
	name
	connector
	place
	message
	zeroKey
	lowKey
	highKey
	lowVolts
	highVolts
	to
	fields // how many there are
)

// meaning is a field as messages call it, and the heads that it has: the first are
// those of choirloft's own tables.
var meaning = [fields]struct {
	called string
	heads  []string
}{
	bank:      {"bank", []string{"bank", "banks", "bank name", "group", "shelf"}},
	voice:     {"voice", []string{"voice", "voices", "vox", "voice no", "voice nr", "voice number", "voice name", "no", "nr", "number", "osc"}},
	position:  {"position in the bank", []string{"position", "pos", "slot", "in bank"}},
	pitch:     {"pitch jack", []string{"pitch jack", "pitch", "pitch cv", "pitch out", "cv", "cv jack", "cv out", "v oct", "1v oct", "voct", "1 v oct", "note cv"}},
	gate:      {"gate jack", []string{"gate jack", "gate", "gates", "gate out", "gt", "trig", "trigger", "gate trig"}},
	jack:      {"jack", []string{"jack", "output", "out", "jack no", "jack number", "output jack"}},
	kind:      {"kind of jack", []string{"kind", "type", "jack kind", "jack type", "cv gate", "cv or gate", "signal"}},
	input:     {"input", []string{"input", "destination", "dest", "goes to"}},
	box:       {"interface", []string{"interface", "box", "converter", "device", "source"}},
	channel:   {"MIDI channel", []string{"channel", "midi channel", "ch", "midi ch", "chan", "midi chan", "midi"}},
	port:      {"MIDI port", []string{"port", "midi port", "midi in"}},
	state:     {"state", []string{"state", "status", "condition"}},
	keys:      {"keys", []string{"keys", "key range", "range", "tracks"}},
	remark:    {"remarks", []string{"notes", "note", "remarks", "remark", "comment", "comments", "memo"}},
	rowKind:   {"kind of row", []string{"row"}},
	lane:      {"input", []string{"lane"}},
	name:      {"voice", []string{"name"}},
	connector: {"connector", []string{"connector", "plug"}},
	place:     {"place on the connector", []string{"place"}},
	message:   {"message", []string{"message"}},
	zeroKey:   {"key at 0 V", []string{"zero key", "key at 0 v", "0 v key"}},
	lowKey:    {"lowest key", []string{"low key", "lowest key", "lowest"}},
	highKey:   {"highest key", []string{"high key", "highest key", "highest"}},
	lowVolts:  {"volts of the lowest key", []string{"volts at low key"}},
	highVolts: {"volts of the highest key", []string{"volts at high key"}},
	to:        {"inputs", []string{"to", "feeds"}},
}

// passed are heads of choirloft's own tables that say nothing a rig has room for.
var passed = []string{"part", "stack", "stack position", "of", "detune cents", "pan", "fingerprint"}

// plainHead makes words of a head: small letters and digits, a space between.
func plainHead(head string) string {
	words := strings.FieldsFunc(strings.ToLower(head), func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) })
	return strings.Join(words, " ")
}

// fieldOf is the field of a head: by its words, by one of its words, or by the
// nearest spelling.
func fieldOf(head string) field {
	plain := plainHead(head)
	if plain == "" || slices.Contains(passed, plain) {
		return none
	}
	var all []string
	for f := range fields {
		if slices.Contains(meaning[f].heads, plain) {
			return f
		}
		all = append(all, meaning[f].heads...)
	}
	// pitch and gate go before what stands beside them: gate out, pitch channel
	if f := wordOf(plain, gate, pitch, channel, port, position, voice, bank, box, state, remark); f != none {
		return f
	}
	if near, ok := unit.Nearest(plain, all); ok {
		for f := range fields {
			if slices.Contains(meaning[f].heads, near) {
				return f
			}
		}
	}
	return wordOf(plain, jack)
}

// wordOf is the first of the fields that has one of the words for a head.
func wordOf(plain string, of ...field) field {
	for _, f := range of {
		for _, word := range strings.Fields(plain) {
			if len(word) > 1 && slices.Contains(meaning[f].heads, word) {
				return f
			}
		}
	}
	return none
}

// columns says where the fields of a table stand, and in which row their heads are.
type columns struct {
	row int // index of the row of heads
	at  [fields]int
}

func (c *columns) has(f field) bool { return c.at[f] >= 0 }

// enough tells whether the fields that are there place a jack at a voice.
func (c *columns) enough() bool {
	whose := c.has(bank) || c.has(voice) || c.has(name) || c.has(position)
	return c.has(pitch) || c.has(gate) || c.has(jack) && (whose || c.has(lane))
}

// mostTitles is how many rows may stand above the heads.
const mostTitles = 30

// findHeads finds the row that has most heads, the first of equals; the number of
// heads is 0 where none is enough.
func findHeads(all []row) (best columns, count int) {
	for i := range all[:min(len(all), mostTitles)] {
		c := columns{row: i}
		for f := range fields {
			c.at[f] = -1
		}
		n := 0
		for column, head := range all[i].cells {
			if f := fieldOf(head); f != none && !c.has(f) {
				c.at[f] = column
				n++
			}
		}
		if n >= 2 && n > count && c.enough() {
			best, count = c, n
		}
	}
	return best, count
}

// said tells how heads were read: a line a column, and one line for a table of
// choirloft's own.
func (c *columns) said(heads *row) []string {
	if c.has(rowKind) && c.has(lane) {
		return []string{"the map of a rig, as choirloft map writes it"}
	}
	var all []string
	for column, head := range heads.cells {
		where := "column " + columnName(column) + ", " + quote(head)
		f := fieldOf(head)
		switch {
		case head == "" || slices.Contains(passed, plainHead(head)):
		case f == none:
			all = append(all, where+": not read")
		case c.at[f] != column:
			all = append(all, fmt.Sprintf("%s: not read, column %s is the %s", where, columnName(c.at[f]), meaning[f].called))
		default:
			all = append(all, where+": "+meaning[f].called)
		}
	}
	return all
}
