package midi

import (
	"fmt"
	"strconv"
	"strings"
)

var pitchNames = [12]string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}

// Name returns the key's name with its octave, such as "C#4"; black keys are
// sharps. middleC is the octave that key 60 has: 4 in the usual naming, 3 in
// the other.
func (k Key) Name(middleC int) string {
	return pitchNames[k%12] + strconv.Itoa(int(k)/12-5+middleC)
}

// ParseKey reads a key's number, 0–127, or its name: a letter in either case,
// then # or b, once or twice or not at all, then the octave in which middleC
// is that of key 60.
func ParseKey(text string, middleC int) (Key, error) {
	n, err := strconv.Atoi(text)
	if err != nil || strings.HasPrefix(text, "+") {
		if n, err = keyByName(text, middleC); err != nil {
			return 0, err
		}
	}
	if n < 0 || n > 127 {
		return 0, fmt.Errorf("key %q is outside 0–127 (%s to %s)", text, Key(0).Name(middleC), Key(127).Name(middleC))
	}
	return Key(n), nil
}

// keyByName returns the number a name stands for, in range or not.
func keyByName(text string, middleC int) (int, error) {
	if text == "" {
		return 0, fmt.Errorf("key \"\": expected a number 0–127 or a name such as %s", Key(60).Name(middleC))
	}
	pitch, known := letterPitches[text[0]|0x20]
	rest := text[1:]
	sharps := len(rest) - len(strings.TrimLeft(rest, "#"))
	flats := len(rest) - len(strings.TrimLeft(rest, "b"))
	rest = rest[sharps+flats:]
	octave, err := strconv.Atoi(rest)
	if !known || sharps+flats > 2 || err != nil || len(rest) > 3 || rest[0] == '+' {
		return 0, fmt.Errorf("key %q: expected a number 0–127 or a name such as %s", text, Key(60).Name(middleC))
	}
	return 60 + 12*(octave-middleC) + pitch + sharps - flats, nil
}

var letterPitches = map[byte]int{'c': 0, 'd': 2, 'e': 4, 'f': 5, 'g': 7, 'a': 9, 'b': 11}

// String returns the channel as it is printed, 1–16.
func (c Channel) String() string { return strconv.Itoa(int(c) + 1) }

// String returns the port as it is printed, from 1.
func (p Port) String() string { return strconv.Itoa(int(p) + 1) }
