package profiles

import "choirloft/midi"

// Macro is one CV, moved by a controller, on one input of many voices.
type Macro struct {
	Name       string
	Pos        Pos
	Controller uint8 // 0–119
	AnyPort    bool
	Port       midi.Port // unless AnyPort
	Channel    midi.Channel
	To         []Target
}

// Target is an input of a whole bank or of one voice.
type Target struct {
	Bank  int // index into Rig.Banks
	Voice int // index into Rig.Voices, or −1 for the bank
	Input string
	Pos   Pos
}

// Jack is an output of an interface.
type Jack struct {
	Interface int  // index into Rig.Interfaces
	Gate      bool // else a CV
	Number    int  // from 1
	Pos       Pos
}

// Wire says how one output reaches several inputs.
type Wire struct {
	Pos  Pos
	From Jack
	// Through is direct, passive or buffered.
	Through        Through
	Outs           int // outputs of one buffered multiple, 2–64
	To             []Target
	CalibratedWith int // inputs on the output when it was calibrated, 1–1024, default 1
}

// Through says what stands between an output and its inputs.
type Through uint8

// What a wire may go through.
const (
	Direct Through = iota
	Passive
	Buffered
)

// Pin holds an input, or a macro, on a jack of the user's choice.
type Pin struct {
	Pos   Pos
	To    Target // unless Macro is set
	Macro int    // index into Rig.Macros, or −1
	Jack  Jack
}

// Correction is what measuring says about the tuning of a voice: the volts to
// send are scale · volts + offset.
type Correction struct {
	Voice    int // index into Rig.Voices
	Pos      Pos
	Offset   Volts   // −1…+1 V, default 0
	Scale    float64 // 0.5–2, default 1
	Measured string  // the date as YYYY-MM-DD, or empty
}

// SetUp is one complete way of patching the same rack.
type SetUp struct {
	Name string
	Pos  Pos
	// From is an index into Rig.Interfaces, or into Rig.Sequencers where
	// Sequenced is set.
	From      int
	Sequenced bool
	Parts     []SetUpPart // of a sequencer, in file order
}

// SetUpPart gives banks to one part of a sequencer.
type SetUpPart struct {
	Part  int   // from 1
	Banks []int // indexes into Rig.Banks
	Pos   Pos
}
