package study

import (
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Interval is a half-open span of time [Start, End).
type Interval struct{ Start, End time.Duration }

// Reference is what a song asks for when voices are without limit: the notes
// of every part with the gate each of them should have. Several goroutines may
// share one.
type Reference struct {
	Notes    []Note // by alloc.NoteID
	Ends     []time.Duration
	End      time.Duration // of the song
	Orphans  int           // note-offs without a note-on in the song
	Unmapped int           // note-ons that no part takes
	// PartOrphans counts the orphans that fall to each part.
	PartOrphans []int
	// Envelopes are those that the parts' notes have: of each part the one with the
	// slowest release among its voices in service.
	Envelopes []alloc.Envelope

	ears   *ears
	script *alloc.Script
}

// Note is one note of a reference run.
type Note struct {
	Part     int
	Port     midi.Port
	Channel  midi.Channel
	Key      midi.Key // as it came in
	Sounding int      // after transposition
	Velocity uint8
	Tick     midi.Tick
	Start    time.Duration
	KeyUp    time.Duration // end of held, minimum gate included
	End      time.Duration // end of the gate: the reference interval is [Start, End)
	// TailEnd is where an uncut tail passes the audible limit; End if there is
	// none.
	TailEnd time.Duration
	// Full is when the attack that the note begins with reaches full, or would if
	// its gate stayed high. It lies before Start where a gate is carried on.
	Full time.Duration
	// Peak is the highest level, 0–1 of full, that the envelope comes to
	// between Start and End; 0 for a note without length.
	Peak       float64
	Superseded bool // its key was struck again while it sounded
	Swallowed  bool // ended by an off that belonged to an earlier note
	Stuck      bool // its off is missing
	Zero       bool // it had no length in the song
}

// Ending is how a note ended. Every note has exactly one.
type Ending uint8

// The endings.
const (
	Complete Ending = iota
	Superseded
	Dropped
	LateStart // it waited for the voices of its unison for longer than Rules.Overlap
	BornCut
	HeldCut
	OverlapOnly
	PedalCut
	TailCutOwnKey
	TailCutOtherKey
	TailCutInaudible
	NumEndings
)

// Damaged tells whether a note with this ending did not sound for all of its
// reference interval.
func (e Ending) Damaged() bool { return ((((mutantAtLeast(4613, e , Dropped)) != mutantIs(4612)) && ((mutantAtMost(4615, e , PedalCut)) != mutantIs(4612))) != mutantIs(4612)) }

// Outcome is what became of a note in a replay.
type Outcome struct {
	Voice  int // index, or alloc.NoVoice
	Ending Ending
	At     time.Duration // of the cut; of the start for a note that was dropped or began late
	// Lost is the part of the reference interval that did not sound: from the cut
	// to its end, and what it waited for a unison, whether that damaged it or not.
	Lost    time.Duration
	LevelDB float64       // at the cut, relative to the full envelope; −Inf where nothing was cut
	By      alloc.NoteID  // who took the voice, or alloc.NoNote
	Cause   alloc.Cause   // of a loss
	Outer   bool          // a loss that hit the bass or the top
	Late    time.Duration // by how much the gate opened late
	Waited  time.Duration // of Late: for the voices of its unison
	Voices  int           // that it began with; 0 if dropped
	Fewest  int           // that it had at any time while it sounded
	Missed  float64       // cents by which its pitch was clamped, at worst
	// Repitched: its tail went on at the pitch of By, whose voice has its pitch from the
	// same jack.
	Repitched bool
	// TooLong is for how long it sounded at the level of its key after that was up, since
	// voices with the same gate were held.
	TooLong time.Duration
	// Low and High are the lowest and the highest pitch that it asked for, on the
	// scale of MIDI keys, bend and detune included; of a dropped note its key.
	Low, High float64
}

// Cut is a voice that a note lost to another, or its tail did. A note of several
// voices may lose one after another.
type Cut struct {
	Note, By alloc.NoteID
	Voice    int32 // index
	At       time.Duration
	Left     int16 // voices that the note goes on with; of a tail 0
}

// VoiceUse sums up what one voice did.
type VoiceUse struct {
	Takes         int
	Held          time.Duration // gate high
	Sounding      time.Duration // gate high or tail above the free level
	MostSemitones int           // largest jump from one note to the next
}

// Demand is how many notes sound at once when none is cut: the peaks.
type Demand struct{ Held, Pedal, Audible int }

// Bound is what no rule can beat with the given number of voices.
type Bound struct {
	Unavoidable   time.Duration // in voice-seconds
	FewestDamaged int
}

// Tally is the score of a part's notes, or of all, and what else is to be said
// of them.
type Tally struct {
	Score
	Late                                              int
	Clamped                                           int
	Swallowed, Orphan, Stuck, Zero, Unmapped, Thinned int
	Repitched, TooLong                                int
}

// Summary is the demand, the bounds and the tally of a part or of the rig.
type Summary struct {
	Voices int // in service
	Demand Demand
	Bound  Bound
	Tally  Tally
}

// Replay is one run of a song through a rig.
type Replay struct {
	Performance Performance // what was played
	Reference   *Reference
	Outcomes    []Outcome // by alloc.NoteID
	Cuts        []Cut     // in the order of time
	Rig         Summary
	Parts       []Summary
	Voices      []VoiceUse
}
