package cli

import (
	"errors"
	"unicode/utf8"
)

// fileBegins is how a MIDI file begins (RP-001), and no stream of messages does.
const fileBegins = "MThd"

var (
	errMIDIFile = errors.New("this is a MIDI file")
	errText     = errors.New("this is text")
)

const wantBytes = "want the bytes of an instrument as they are played"

// textFile refuses text where an instrument is wanted.
func textFile(name string) *fileError {
	return &fileError{name, "this is text, " + wantBytes, "a recording of raw MIDI bytes plays, and so does a FIFO or a device"}
}

// leastText is how many bytes are needed to call them text: an instrument may begin
// in the middle of a message.
const leastText = 8

// isText tells whether bytes are text. A message of MIDI never is: what follows a
// status byte is below 0x80, and UTF-8 (RFC 3629) begins no character so.
func isText(head []byte) bool {
	if len(head) < leastText {
		return false
	}
	for len(head) > 0 {
		r, n := utf8.DecodeRune(head)
		if r == utf8.RuneError && n <= 1 {
			return !utf8.FullRune(head) // cut by the end of what was read
		}
		if r < ' ' && r != '\n' && r != '\r' && r != '\t' {
			return false
		}
		head = head[n:]
	}
	return true
}

// midiFile refuses a file where an instrument is wanted.
func midiFile(name string) *fileError {
	return &fileError{name, "this is a MIDI file, " + wantBytes, "choirloft replay plays it, choirloft write deals it to the voices"}
}

// begins goes on from n bytes of a MIDI file's beginning.
func begins(n int, data []byte) int {
	for _, b := range data {
		if n == len(fileBegins) {
			break
		}
		if b != fileBegins[n] {
			return -1
		}
		n++
	}
	return n
}
