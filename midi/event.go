package midi

import "time"

// Key is a MIDI key number, 0–127; 60 is middle C.
type Key uint8

// Channel is a MIDI channel as it travels on the wire, 0–15. It is printed
// as 1–16, by [Channel.String] alone.
type Channel uint8

// Port is a MIDI port as the port meta event FF 21 counts it, 0–127. It is
// printed from 1, by [Port.String] alone.
type Port uint8

// Tick counts the ticks of a song from its start. A song's division says how
// long a tick is; see [TempoMap].
type Tick int64

// Kind is the upper half of a channel message's status byte.
type Kind uint8

// The channel messages of MIDI 1.0.
const (
	NoteOff         Kind = 0x8
	NoteOn          Kind = 0x9
	KeyPressure     Kind = 0xA
	ControlChange   Kind = 0xB
	ProgramChange   Kind = 0xC
	ChannelPressure Kind = 0xD
	PitchBend       Kind = 0xE
)

// Event is one channel message of a song, as it stands in the file. Events of
// a [Song] are in the order of tick, then track, then place in the file; the
// order in which they act at one instant is made by [Song.Steps].
type Event struct {
	Tick   Tick
	Track  uint16 // place of the track in the file, from 0
	Port   Port
	Status uint8 // kind in the upper four bits, channel in the lower four
	Data1  uint8 // 0–127
	Data2  uint8 // 0–127; 0 for messages with one data byte
}

// Kind returns the kind of message.
func (e Event) Kind() Kind { return Kind(e.Status >> 4) }

// Channel returns the channel the message is for.
func (e Event) Channel() Channel { return Channel(e.Status & 0x0F) }

// StepKind says what a [Step] does.
type StepKind uint8

// The kinds of step. Everything that cannot change what a voice does (program
// changes, clock, …) has no step.
const (
	StepNoteOn          StepKind = iota // Key; Value is the velocity, 1–127
	StepNoteOff                         // Key; Value is the release velocity, 64 where there is none
	StepSustain                         // controller 64; Value 0–127, down from 64
	StepSostenuto                       // controller 66; Value 0–127, down from 64
	StepNotesOff                        // controllers 123–127
	StepSoundOff                        // controller 120
	StepReset                           // controller 121
	StepBend                            // Value 0–16383, centre 8192
	StepBendRange                       // RPN 0; Value is the range in cents
	StepChannelPressure                 // Value 0–127
	StepKeyPressure                     // Key; Value 0–127
	StepControl                         // any other controller: Key is its number, Value 0–127
	StepZone                            // RPN 6: Value is the number of member channels, 0–15; on any channel
)

// Step is one event of a performance: at its exact time, in the order in
// which it acts, with registered parameters already resolved.
type Step struct {
	At      time.Duration // from the start of the song, rounded to the nanosecond
	Tick    Tick
	Kind    StepKind
	Port    Port
	Channel Channel
	Key     Key    // key, or the controller's number of a StepControl
	Value   uint16 // see StepKind
	// Zero marks a note-on whose note-off stands at the same instant, and that
	// note-off itself: the note has no length. The note-off is the next step,
	// except where Order.File leaves other events between the two, or where in
	// that order a mode message of the instant ended the note.
	Zero bool
}

// Down tells whether a pedal step presses the pedal: 64–127 is down, 0–63 up
// (MIDI 1.0, table III).
func (s Step) Down() bool { return s.Value >= 64 }
