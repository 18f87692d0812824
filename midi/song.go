package midi

import "time"

// Song is what a Standard MIDI File says, in one list over all its tracks. Of
// a file of format 2 all tracks are listed, but only the chosen one is read.
type Song struct {
	Format   int    // 0, 1 or 2
	Wrapper  string // "RMID" where the file was wrapped in RIFF, else empty
	Tracks   []Track
	Events   []Event // by tick, then track, then place in the file; read only
	Tempo    TempoMap
	Meter    MeterMap
	End      Tick // the last event or end of track, whichever is later
	NoteOns  int  // note-ons with a velocity above 0
	Warnings Warnings
}

// Track is one track chunk of a song.
type Track struct {
	Name   string // the first FF 03 that is not empty, without control characters
	Device string // FF 09, in the same way
	Text   string // FF 01, in the same way
	Offset int    // of the chunk's first byte in the file
	Events int    // channel messages read from it
	End    Tick   // its end of track, or its last event where that is missing
}

// Warning is one place of a file that was not as the standard has it, and
// what was made of it.
type Warning struct {
	Offset  int // byte offset in the file
	Message string
}

// Warnings lists what was wrong with a file: the first hundred by offset, and
// how many there were in all.
type Warnings struct {
	List  []Warning
	Total int
	// CutOff: the file ends before what its chunks or its header promise, or a track
	// within an event. Notes may be missing.
	CutOff bool
}

// Duration returns the time from the start of the song to its end.
func (s *Song) Duration() time.Duration { return s.Tempo.At(s.End) }

// Order says how events at one instant follow each other.
type Order struct {
	// File keeps the order of the file, instead of putting everything but
	// note-ons before the note-ons; Chord then has no effect.
	File bool
	// Chord sorts the note-ons of one instant, on all ports and channels.
	// Note-ons of one key stay in the order of the file, and a note-off that
	// ends one at the same instant goes with it.
	Chord ChordOrder
}

// ChordOrder is the order of the note-ons at one instant.
type ChordOrder uint8

// The chord orders.
const (
	ChordAsFiled ChordOrder = iota // in file order
	ChordLowUp                     // from the lowest key to the highest
	ChordOuter                     // the lowest key, the highest, the second lowest, and so on
)
