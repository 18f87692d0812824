package alloc

import (
	"time"

	"choirloft/midi"
)

// Config is everything an [Engine] must know before the first event.
type Config struct {
	Voices []Voice // voice number n stands at n−1; bank by bank, ascending
	Parts  []Part
	// MinGate is the shortest gate; shorter notes are held that long.
	MinGate time.Duration
	// FreeDB is the level, relative to the full envelope, at or below which a
	// tail counts as silent: −60 unless set otherwise. At most 0.
	FreeDB float64
}

// VoiceState is the standing of a voice in its rack, before anything plays.
type VoiceState uint8

// The standings of a voice.
const (
	In      VoiceState = iota // plays whatever its parts give it
	Out                       // taken out of service
	Limited                   // plays only Keys
	Spare                     // stands by for an Out voice of its bank
)

// Voice is one oscillator → filter → VCA chain with its own envelope.
type Voice struct {
	Bank     int // from 0
	State    VoiceState
	Keys     KeyRange // of a Limited voice: the sounding keys it tracks
	Envelope Envelope
	Window   Window // the pitches its input can be driven to
}

// KeyRange is an inclusive range of keys.
type KeyRange struct{ Low, High midi.Key }

// Contains tells whether k lies in the range.
func (r KeyRange) Contains(k midi.Key) bool { return r.Low <= k && k <= r.High }

// Window is the range of pitches a CV can reach, in semitones on the scale of
// MIDI keys (60 is middle C). The zero Window has no limits.
type Window struct {
	Bounded   bool
	Low, High float64
}

// Source is a set of channels that a part listens to.
type Source struct {
	AnyPort  bool
	Port     midi.Port
	Channels uint16 // bit c is channel c, stored 0–15
}

// Part is one musical line or chord layer.
type Part struct {
	Name       string
	Sources    []Source
	Keys       KeyRange // incoming keys, before Transpose
	Velocities [2]uint8 // inclusive, 1–127
	Transpose  int      // semitones, −48…48
	Banks      []int    // the banks it plays on

	Pick PickRule
	// Second is what same-key falls back to. SameKey cannot be its own.
	Second PickRule
	// Fixed maps an incoming key to a voice index, for PickFixed.
	Fixed map[midi.Key]int
	Steal StealRule
	// MixClasses takes the class order TAIL → PEDAL → HELD away: all three
	// compete under the steal rule alone.
	MixClasses bool
	// NewcomerCompetes lets the new note be the one that is given up. The
	// foresight rules always do.
	NewcomerCompetes bool
	// TailsUnknown makes the part see a voice in its tail as free, as an
	// allocator inside an interface must.
	TailsUnknown bool
	SameKey      SameKey
	BendRange    float64 // semitones, until RPN 0 says otherwise
	BendTails    bool    // bend moves tails too
	OutOfRange   OutOfRange
	Seed         uint64 // of PickRandom
	Priority     int    // 1 is highest
}

// PickRule chooses among the voices that can be had without stealing.
type PickRule uint8

// The picking rules; see [Rules] for what each does.
const (
	PickLongestIdle PickRule = iota
	PickLowest
	PickRoundRobin
	PickStrictRoundRobin
	PickSameKey
	PickBankSpread
	PickBankFill
	PickNearest
	PickRandom
	PickFixed
)

// StealRule chooses whom a new note takes its voice from.
type StealRule uint8

// The stealing rules; see [Rules] for what each does.
const (
	StealProtectOuter StealRule = iota
	StealOldest
	StealNewest
	StealLowest
	StealHighest
	StealQuietest
	StealSoftest
	StealNone
	StealHardNone
	StealFewestCuts
	StealLeastLost
)

// Foresight tells whether the rule needs to know how long notes will last.
func (r StealRule) Foresight() bool { return r == StealFewestCuts || r == StealLeastLost }

// SameKey says what a key does that is struck again while it still sounds.
type SameKey uint8

// The same-key rules.
const (
	RetriggerCounted  SameKey = iota // same voice, low at the last off
	RetriggerFirstOff                // same voice, low at the first off
	StackFIFO                        // new voice; an off ends the oldest
	StackLIFO                        // new voice; an off ends the newest
)

// Stacks tells whether the rule gives a repeated key a voice of its own.
func (s SameKey) Stacks() bool { return s == StackFIFO || s == StackLIFO }

// OutOfRange says what happens to a pitch outside of a voice's [Window].
type OutOfRange uint8

// What to do with a pitch outside of the window.
const (
	Clamp    OutOfRange = iota // to the nearest end
	Fold                       // by octaves, into the window
	DropNote                   // the note is not played
)
