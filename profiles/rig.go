package profiles

import (
	"cmp"

	"choirloft/alloc"
	"choirloft/midi"
)

// Rig is everything that a rig file says, with every default filled in and
// every name resolved. Slices are in file order; indexes count from 0.
type Rig struct {
	File string // the name under which the file was read
	Name string

	A4         Hertz   // pitch of key 69: 390–490 Hz, default 440
	MiddleC    MiddleC // name of key 60, default C4
	Order      midi.Order
	Interfaces []Interface
	Sequencers []Sequencer
	// Kinds holds the kinds under voices, then the built-in ones that banks
	// name or fall back to.
	Kinds  []Kind
	Banks  []Bank  // at least one
	Voices []Voice // of all banks, in file order: number n stands at n−1
	Macros []Macro
	Parts  []Part // at least one: the part "all" where the file names none

	Timing  Timing
	Audible Audible
	Levels  Levels
	Hearing Hearing
	Tuned   Tuned
	// Wiring holds the wires in the order of the file. Those from modules are only
	// places: the wires from jacks lead on to all that is behind the modules.
	Wiring []Wire
	// Ways are the modules that wires lead through, in order from the jack:
	// indexes into Gear. The first way is straight, through none.
	Ways        [][]int
	Pins        []Pin
	Gear        []Gear
	Supplies    []Supply
	Rack        Rack
	Corrections []Correction
	SetUps      []SetUp

	given       map[string]Pos
	fingerprint string
}

// Way returns the modules of a way, none for 0.
func (r *Rig) Way(via int) []int {
	if via == 0 {
		return nil
	}
	return r.Ways[via]
}

// Pos is a place in a file. The zero Pos stands for what no file says.
type Pos struct {
	File   string
	Line   int // from 1
	Column int // in characters, from 1
}

// IsZero tells whether there is no place: the value is a default, or comes
// from a built-in profile.
func (p Pos) IsZero() bool { return p.Line == 0 }

func (p Pos) compare(q Pos) int {
	return cmp.Or(cmp.Compare(p.File, q.File), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column))
}

// Given tells where the value at a path, such as "voices.kiln.release" or
// "wiring[1].to[0]", was written: in the rig file or in a profile file of the
// user's. It is false for defaults and for what a built-in profile says, so
// for everything that is assumed.
func (r *Rig) Given(path string) (Pos, bool) {
	pos, ok := r.given[path]
	return pos, ok
}

// MiddleC is the octave number in the name of key 60: 4 or 3.
type MiddleC int8

// The two ways of naming key 60.
const (
	C3 MiddleC = 3
	C4 MiddleC = 4
)

// Timing holds the times that gates and CVs keep between each other.
type Timing struct {
	Gap     Duration // gate low before a re-attack: 0–1 s, default 3 ms
	MinGate Duration // shortest gate: 0–1 s, default 5 ms
	Lead    Duration // CV before its gate: 0–1 s, default 1 ms
	// Overlap is the longest loss that counts as legato, and the longest wait of
	// a unison that is no damage: 0–10 s, default 80 ms.
	Overlap Duration
}

// Audible holds the levels at which a tail stops to matter, relative to the
// full envelope; Free ≤ Limit.
type Audible struct {
	Free  Decibels // at or below, a tail is free: −200…0 dB, default −60
	Limit Decibels // above, a cut is audible: −200…0 dB, default −40
}

// Levels holds what the mixing ladder is worked out from.
type Levels struct {
	Voice  VoltsPeakToPeak // one voice at full: 0.001–50 Vpp, default 10
	Shape  Shape           // its waveform, default saw; where it is not written, that of each kind counts
	Clip   Volts           // where a mixer clips, peak: 0.1–50 V, default 10.5
	Submix Decibels        // gain of a bank's submixer: −120…+40 dB, default −6
	Main   Decibels        // gain of the main mixer: −120…+40 dB, default −12
}

// Hearing holds what is heard of the rig.
type Hearing struct {
	// Level is that of one voice at full on key 60: 40–100 dB of sound pressure,
	// default 70.
	Level Decibels
}

// Tuned holds how the rig is between tuning and playing.
type Tuned struct {
	Warm   bool    // it has been on for 30 minutes both times; default true
	Kelvin float64 // by which the temperature may change, either way: 0–60, default 0
}

// Shape is a waveform.
type Shape uint8

// The waveforms.
const (
	Saw Shape = iota
	Sine
	Triangle
	Square
)

// allKeys is the widest range there is.
var allKeys = alloc.KeyRange{Low: 0, High: 127}
