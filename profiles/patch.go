package profiles

import (
	"sort"

	"choirloft/midi"
)

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
	Via   int // of a wire: index into Rig.Ways, 0 where it leads there straight
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
	Pos Pos
	// From is the jack. Its Interface is −1 for a wire from a module, which has
	// nothing under To: what it leads to stands under the wires from jacks.
	From Jack
	// Through is direct, passive or buffered.
	Through        Through
	Outs           int // outputs of one multiple, 2–64; of a passive one 0 if not said
	To             []Target
	On             []int // modules that it leads to itself, as indexes into Rig.Gear
	CalibratedWith int   // inputs on the output when it was calibrated, 1–1024, default 1
	// Normal is a wire behind the panels, which takes no cable. What plugs have opened of it is
	// not under To, but under Opened; AtJack tells that the plug is in the jack it comes from.
	Normal Normal
	Opened []Target
	AtJack bool
}

// Normal says which plugs open a wire behind the panels.
type Normal uint8

// What opens it.
const (
	NoNormal   Normal = iota // it is a cable
	FullNormal               // a plug at either end
	HalfNormal               // a plug in its input; one in its output takes the signal too
)

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
// send in place of volts worked out for a voice in tune are
//
//	scale · volts + offset + what Points say at volts
//
// The zero value stands for no correction only with Scale 1; see
// routing.Corrections.
type Correction struct {
	Voice    int // index into Rig.Voices
	Pos      Pos
	Offset   Volts   // −1…+1 V, default 0
	Scale    float64 // 0.5–2, default 1
	Measured string  // the date as YYYY-MM-DD, or empty
	// Points, by ascending volts, are there where one line does not hold: straight
	// between them, and beyond the last as at the last.
	Points []CorrectionPoint
	// Residual is the standard deviation that is left with the correction, in
	// cents, where that was measured, and Drift that between the days of dated
	// readings; 0–100 cents. Both are nil where nobody measured.
	Residual, Drift *Cents
	CommonDrift     *Cents // the part of Drift by which all voices moved alike; nil where nobody told them apart
	Days            int    // that Drift rests on, 2–1000, default 2
	// Readings are the volts of the readings that Residual rests on, none where
	// nobody says.
	Readings []Volts
	// Inputs hung on the jack when the voice was measured, 0–1024; 0: as many as now.
	// Multiples is how many amplifiers stood on the way, nil: as many as now.
	Inputs    int
	Multiples *int
}

// CorrectionPoint is what to add at some volts.
type CorrectionPoint struct {
	At, Add Volts // −20…+20 V and −1…+1 V
}

// None tells whether nothing was measured of the voice, and nothing is corrected.
func (c *Correction) None() bool {
	return c.Offset == 0 && c.Scale == 1 && c.Points == nil && c.Residual == nil && c.Drift == nil && c.CommonDrift == nil && c.Inputs == 0 && c.Multiples == nil
}

// Apply returns the volts to send in place of volts worked out for a voice in
// tune.
func (c *Correction) Apply(volts Volts) Volts {
	return Volts(c.Scale)*volts + c.Offset + c.add(volts)
}

// add is what Points say at some volts.
func (c *Correction) add(volts Volts) Volts {
	n := len(c.Points)
	if n == 0 {
		return 0
	}
	i := sort.Search(n, func(i int) bool { return c.Points[i].At >= volts })
	if i == 0 {
		return c.Points[0].Add
	}
	if i == n {
		return c.Points[n-1].Add
	}
	low, high := c.Points[i-1], c.Points[i]
	return low.Add + (high.Add-low.Add)*(volts-low.At)/(high.At-low.At)
}

// SetUp is one complete way of patching the same rack.
type SetUp struct {
	Name string
	Pos  Pos
	// From is an index into Rig.Interfaces, or into Rig.Sequencers where
	// Sequenced is set.
	From      int
	Sequenced bool
	Also      []int // further interfaces that play with it, in file order
	// What follows is for a sequencer.
	Parts   []SetUpPart // in file order; no bank is in two of them
	Pitches PitchWay    // default group
	Gates   GateWay     // default multiples
	Through Through     // what its multiples are: Passive, the default, or Buffered
	Outs    int         // outputs of one multiple, 2–64; of a passive one 0 if not said
}

// PitchWay says how a part of a sequencer reaches the pitches of a bank.
type PitchWay uint8

// The ways of pitches.
const (
	PitchGroup     PitchWay = iota // by the common jack of the bank, where it has one
	PitchMultiples                 // by multiples, to the jack of each voice
)

// GateWay says how a part of a sequencer reaches the gates of a bank.
type GateWay uint8

// The ways of gates.
const (
	GateMultiples GateWay = iota // by multiples, to the jack of each voice
	GateOr                       // by a gate-OR of the bank, which the voices' own gates go through too
)

// SetUpPart gives banks to one part of a sequencer.
type SetUpPart struct {
	Part  int   // from 1
	Banks []int // indexes into Rig.Banks
	Pos   Pos
}
