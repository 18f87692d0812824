package patchlist

import (
	"fmt"

	"choirloft/alloc"
	"choirloft/midi"
)

// List is what a table says of a rack.
type List struct {
	Name   string // of the rig; empty where the table has none
	Boxes  []Box
	Banks  []Bank
	Macros []Macro
	Jacks  []Jack   // in the order of the rows
	Heads  []string // how each column was read, a line each
	Said   []string // how it was read besides, a sentence each
	Cells  []Cell   // what could not be read, by row
}

// Box is an interface.
type Box struct {
	Name string
	// CV, Gates and Outputs are the highest jacks in the table.
	CV, Gates, Outputs int
	// Exact: the table lists free jacks too, so there are no more.
	Exact     bool
	Connector int // jacks per connector; 0 where the table does not say
	Ports     int // the highest MIDI port; 0 where the table has none
	Audio     bool
	ZeroKey   *int
	volts     []keyVolts
}

type keyVolts struct {
	key   int
	volts float64
}

// Bank is a bank of voices.
type Bank struct {
	Name    string
	Voices  int
	Inputs  []string // of each voice beside pitch and gate
	Lanes   []string // one CV for the bank
	Out     []int    // positions, as all that follow
	Spare   []int
	Limited []Limit
	Remarks []string // with the voice before them
}

// Limit is a voice that tracks some keys only.
type Limit struct {
	Position int
	Keys     alloc.KeyRange
}

// Macro is a CV that a controller moves.
type Macro struct {
	Name       string
	Controller int
	Port       int // from 1
	Channel    int // from 1
	To         []string
}

// Jack is a jack and what it feeds.
type Jack struct {
	Box    int // index into Boxes
	Gate   bool
	Number int      // from 1
	Target string   // as a rig writes it: K1.pitch, K.cutoff, bite
	Wired  []string // what it feeds where that is more than Target
	Row    int
	Column int
	voice  *voiceAt // nil for what is no voice's
	said   *address // where the table says one
}

// voiceAt is a voice of the table.
type voiceAt struct {
	bank, number int // a position once all rows are read
	row          int
}

// address is a MIDI port and a channel, from 1; the port is 0 where the table has none.
type address struct{ port, channel, row, column int }

// Cell is something of a table that could not be read.
type Cell struct {
	Row     int // from 1, as a spreadsheet counts
	Column  int // from 0; -1 for the whole row
	Head    string
	Message string // what was found and what is allowed
}

// String is the cell as it is told: row 5, column D (Gate): found …
func (c Cell) String() string {
	if c.Column < 0 {
		return fmt.Sprintf("row %d: %s", c.Row, c.Message)
	}
	if c.Head == "" {
		return fmt.Sprintf("row %d, column %s: %s", c.Row, columnName(c.Column), c.Message)
	}
	return fmt.Sprintf("row %d, column %s (%s): %s", c.Row, columnName(c.Column), c.Head, c.Message)
}

var allKeys = alloc.KeyRange{Low: 0, High: midi.Key(127)}
