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
	Joined                    // has its pitch from the jack of another voice, and plays what that plays
)

// InService tells whether a voice of that standing may play.
func (s VoiceState) InService() bool { return s == In || s == Limited }

// Voice is one oscillator → filter → VCA chain with its own envelope.
type Voice struct {
	Bank     int // from 0
	State    VoiceState
	Keys     KeyRange // of a Limited voice: the sounding keys it tracks
	Envelope Envelope
	Window   Window // the pitches its input can be driven to
	// With is the index of the voice that a Joined one goes with, of a bank for the same
	// parts; that is no Joined one. The two are one to every part: they play one note at
	// a time.
	With int
	// InTurn: notes on this voice open its gate and those of the voices that are Joined
	// with it one after the other, not all at once. A tail then goes on at the pitch of
	// the next note.
	InTurn bool
	// Gate is a number that voices have alike, above 0, whose gates come from one jack: it
	// stays high until that of the last of them falls. Who plays what does not go by it.
	Gate int
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

	// Reserve voices are the part's whenever it wants them, and no others than
	// Limit can it have at once (0: no limit). Priority 1 is the highest; a
	// part takes voices from notes of its own and of no higher priority.
	Reserve, Limit, Priority int

	Mode Mode
	// ReattackPress and ReattackReturn let a mono part attack again when a key
	// is pressed while another is down, and when a key goes up and an earlier
	// one is still down. Without them the gate stays high: legato.
	ReattackPress, ReattackReturn bool
	Glide                         time.Duration // from pitch to pitch
	// Pulse is how long the gates of all its voices last at most, whatever keys and pedals do,
	// though no shorter than MinGate; 0 for as long as the key. A key that comes back under
	// another that goes up opens none. Not for notes that wait for voices.
	Pulse time.Duration

	Unison Unison
	Zones  []midi.Zone // of a part with per-note channels, instead of Sources
}

// Mode says how many keys of a part sound at once.
type Mode uint8

// The modes. A mono part has one gate; of several keys that are down it sounds
// the last pressed, the lowest or the highest.
const (
	Poly Mode = iota
	MonoLast
	MonoLow
	MonoHigh
)

// Unison puts several voices on a note.
type Unison struct {
	Voices    int // 1 or 0: no unison
	WhenShort WhenShort
	// Blocks are the groups that Blocks takes whole: voice indices, each in one
	// group at most. Without them the voices of the part's banks, those that are
	// out included and spares not, are grouped in ascending number.
	Blocks [][]int
	// Detune holds the cents of each position of a stack, from the first;
	// positions past its end are not detuned. ByVoice, if there is any, holds
	// the cents of each voice of the rack instead.
	Detune, ByVoice []float64
	// Regrow lets elastic notes take voices back when others end.
	Regrow bool
}

// Several tells whether notes have fixed or several voices: Blocks may name groups of one
// voice too.
func (u *Unison) Several() bool {
	return u.Voices > 1 || u.WhenShort == Blocks && len(u.Blocks) > 0
}

// WhenShort says what a unison does when there are not voices for it.
type WhenShort uint8

// What a unison can do.
const (
	Blocks  WhenShort = iota // fixed groups of voices, taken whole
	Thin                     // fewer voices; if none is free, those of one note
	Wait                     // starts late, as soon as the rules give it all its voices; fixed has but one
	Elastic                  // the notes that sound share all voices
)

// WaitsFor returns how many voices a note of the part waits for; 0 if it does
// not wait. A fixed map has one voice for a key, whatever the unison.
func (p *Part) WaitsFor() int {
	switch {
	case p.Unison.Voices < 2 || p.Unison.WhenShort != Wait:
		return 0
	case p.Pick == PickFixed || p.Pick == PickSameKey && p.Second == PickFixed:
		return 1
	}
	return p.Unison.Voices
}

// PickRule chooses among the voices that can be had without stealing.
type PickRule uint8

// The picking rules; [Rules] says what each does.
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

// The stealing rules; [Rules] says what each does.
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
	StealLeastAudible
)

// Foresight tells whether the rule needs to know the notes to come: see
// [Engine.Foresee].
func (r StealRule) Foresight() bool {
	return r == StealFewestCuts || r == StealLeastLost || r == StealLeastAudible
}

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
