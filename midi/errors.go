package midi

import "fmt"

// FormatError says why a file cannot be read at all. What can be read is, and
// what is wrong with it is among the [Warnings] of the song.
type FormatError struct {
	Offset  int // byte offset in the file
	Message string
}

// Error returns the offset and the message.
func (e *FormatError) Error() string { return fmt.Sprintf("byte %d: %s", e.Offset, e.Message) }

func formatErrorf(offset int, format string, args ...any) error {
	return &FormatError{Offset: offset, Message: fmt.Sprintf(format, args...)}
}

// Format2Error says that a file of format 2, which holds a song a track, was
// read without choosing one of them, or choosing one that is not there.
type Format2Error struct {
	Tracks int // in the file
	Track  int // the one asked for, 0 if none was
}

// Error tells what can be chosen.
func (e *Format2Error) Error() string {
	if e.Track == 0 {
		return fmt.Sprintf("format 2 holds a song a track: choose one of the %d tracks with --track", e.Tracks)
	}
	return fmt.Sprintf("no track %d in a file of format 2: choose one of 1–%d with --track", e.Track, e.Tracks)
}
