package profiles

import (
	"choirloft/alloc"
	"choirloft/midi"
)

// Part is one musical line or chord layer.
type Part struct {
	Name string
	Pos  Pos // of its name; zero for the part "all" that no file names

	Sources    []alloc.Source // default every channel but 10, on every port; none where it listens to nothing
	Zone       Zone           // per-note channels, instead of Sources
	Members    int            // member channels of Zone, 1–15, default 15; 0 without a zone
	Keys       alloc.KeyRange // as they come in, default 0–127
	Velocities [2]uint8       // inclusive, 1–127
	Transpose  int            // semitones, −48…48
	BendRange  float64        // semitones, 0–96, default 2
	BendTails  bool           // bend moves tails too
	Banks      []int          // indexes into Rig.Banks, ascending; default all
	Mode       Mode
	Reattack   Reattack // of a mono part, default none

	Reserve  int // voices kept for this part, 0–4096
	Limit    int // most voices it may hold, 1–4096; 0 for no limit
	Priority int // 1 (highest, the default) … 100
	Unison   Unison

	Pick   alloc.PickRule
	Second alloc.PickRule // what same-key falls back to, default longest-idle
	// Fixed maps incoming keys to indexes into Rig.Voices, for PickFixed.
	Fixed map[midi.Key]int
	Steal alloc.StealRule
	// ClassOrder takes tails before pedalled before held notes; default true.
	ClassOrder       bool
	NewcomerCompetes bool // the new note may be the one given up
	TailsUnknown     bool
	SameKey          alloc.SameKey
	Glide            Duration // 0–60 s, default 0
	OutOfRange       alloc.OutOfRange
	Seed             uint64 // of random rules and laws, default 1
}

// Zone is a zone of per-note channels.
type Zone uint8

// The zones: manager channel 1 and members upward, or 16 and downward.
const (
	NoZone Zone = iota
	LowerZone
	UpperZone
)

// Mode says whether a part plays chords, or else which key wins.
type Mode uint8

// The modes.
const (
	Poly Mode = iota
	MonoLast
	MonoLow
	MonoHigh
)

// Reattack says when a mono part starts its envelope again while a key is
// still down. By default it never does: legato keeps the gate high.
type Reattack uint8

// When a mono part re-attacks; the last is both of the two before it.
const (
	ReattackNone   Reattack = iota
	ReattackPress           // when a key is pressed and wins
	ReattackReturn          // when a key is let go, for the one still down that wins then
	ReattackBoth
)

// OnPress tells whether a key that is pressed and wins starts the envelope
// again.
func (r Reattack) OnPress() bool { return r == ReattackPress || r == ReattackBoth }

// OnReturn tells whether the return to a key still down starts the envelope
// again.
func (r Reattack) OnReturn() bool { return r == ReattackReturn || r == ReattackBoth }
