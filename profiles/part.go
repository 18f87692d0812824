package profiles

import (
	"choirloft/alloc"
	"choirloft/midi"
)

// Part is one musical line or chord layer.
type Part struct {
	Name string
	Pos  Pos // of its name; zero for the part "all" that no file names

	Sources    []alloc.Source // default every channel but 10, on every port
	Zone       Zone           // per-note channels, instead of Sources
	Keys       alloc.KeyRange // as they come in, default 0–127
	Velocities [2]uint8       // inclusive, 1–127
	Transpose  int            // semitones, −48…48
	BendRange  float64        // semitones, 0–96, default 2
	BendTails  bool           // bend moves tails too
	Banks      []int          // indexes into Rig.Banks, ascending; default all
	Mode       Mode

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

// Unison is several voices on one note.
type Unison struct {
	Voices int     // 1–64, default 1
	Spread Cents   // total width, lowest to highest: 0–2400, default 12
	Law    Law     // of the detune, default uneven
	Power  float64 // exponent of LawPower, 0.1–10, default 2
	Pan    Share   // of the stereo width, 0–1, default 0.6
	Short  WhenShort
}

// Law says how a unison's voices are spread over its width.
type Law uint8

// The laws.
const (
	LawUneven Law = iota // no two differences alike
	LawEven
	LawPower
	LawGolden
	LawRandom
)

// WhenShort says what a unison does when voices are short.
type WhenShort uint8

// What to do when voices are short.
const (
	Blocks  WhenShort = iota // fixed groups
	Thin                     // what there is
	Wait                     // start late
	Elastic                  // share all voices
)
