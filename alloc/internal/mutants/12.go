package alloc

import "time"

// NoteID numbers the notes of a run from 0, in the order in which the parts
// take them: a note-on that two parts take makes two notes, the first part's
// first. The same events and parts give the same numbers, whatever the voices
// and rules.
type NoteID int32

// NoNote and NoVoice stand where there is none.
const (
	NoNote  NoteID = -1
	NoVoice int    = -1
)

// State is what a voice is doing.
type State uint8

// The states of a voice.
const (
	Free  State = iota // silent
	Tail               // gate low, envelope still releasing
	Pedal              // key up, gate kept high by a pedal
	Held               // key down
)

// DecisionKind says what the engine decided.
type DecisionKind uint8

// The decisions.
const (
	Take     DecisionKind = iota // Note takes Voice; Cut is the note that loses it
	Reattack                     // Note follows Cut, a note of the same key, on Voice
	Drop                         // Note gets no voice
	Hold                         // the key of Note is up, a pedal keeps the gate high
	Release                      // the gate of Voice goes low
	Slide                        // mono: Pitch of Voice moves, the gate stays high: legato
	Bend                         // Pitch of Note on Voice changes
	Pressure                     // Pressure of Note on Voice changes
	Defer                        // Note waits for the voices of its unison: a Take or a Drop will follow
)

// Cause says why a note lost its voice, got none or has to wait.
type Cause uint8

// The causes.
const (
	CauseNone     Cause = iota
	CauseShortage       // more keys were down than there are voices
	CausePedal          // keys down and notes on the pedal together were too many
	CauseTail           // no shortage, but every free voice was still in its tail
	CauseRule           // the rule took or refused it though a voice could be had
	CauseRange          // the pitch lies outside of the window
	CauseReserve        // voices were free, but reserved for others or past the part's limit
	CauseUnison         // there were voices, but not as many as the unison takes
)

// Decision is one thing the engine decided, at once when it decided it.
type Decision struct {
	At    time.Duration
	Note  NoteID
	Cut   NoteID // the note that lost the voice, or NoNote
	Voice int32  // index, or NoVoice
	Part  int32
	// CutPart is the part of Cut.
	CutPart int32
	Kind    DecisionKind
	Cause   Cause
	// Was is the state in which the voice was found.
	Was State
	// Position is the voice's place in the unison of Note, from 0, and Of the
	// voices that the note has; 0 of 1 without unison.
	Position, Of int16
	// CutLeft is how many voices Cut keeps: above 0 it is thinned, not cut.
	CutLeft int16
	// Outer: Cut (or the dropped or waiting Note itself) had the lowest or highest key of
	// all that was held or on the pedal in the part's banks, the new one
	// included.
	Outer bool
	// Key is the sounding key of Note, CutKey that which Voice last played;
	// both after transposition, so they may lie outside of 0–127.
	Key, CutKey int16
	Velocity    uint8
	Pressure    uint8
	// CutDB is the level of the voice when it was taken, relative to the full
	// envelope, velocity left out; −Inf if it was silent.
	CutDB float64
	// Pitch is what the CV is set to, detune included, in semitones on the scale
	// of MIDI keys.
	Pitch float64
	// Glide is how long the pitch takes to get there.
	Glide time.Duration
	// Missed is the pitch that could be given minus the pitch wanted, in
	// cents: 0 inside the window.
	Missed float64
}

// OwnKey tells whether a voice was taken from its own key: whether the note that
// lost it has the same key number, in the same part, as the one that took it.
// Their channels do not matter.
func (d *Decision) OwnKey() bool {
	return ((((((((((d.Cut != NoNote) != mutantIs(415))) != mutantIs(414)) && ((((d.CutPart == d.Part) != mutantIs(416))) != mutantIs(414))) != mutantIs(414))) != mutantIs(413)) && ((((d.CutKey == d.Key) != mutantIs(417))) != mutantIs(413))) != mutantIs(413))
}
