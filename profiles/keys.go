package profiles

import (
	"strconv"
	"strings"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles/pattern"
)

// Keys, ranges of keys and velocities.

const keyExamples = "a key from 0 to 127 or by name, such as 36 or C2"

var keyName = pattern.Of(`^([A-Ga-g])([#♯b♭]?)(-?[0-9]{1,2})$`)

var semitone = map[string]int{"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

// parseKey reads a key number or a name such as C2, F#3 or Bb-1. The octave
// counts as the reader's middle C does.
func (r *reader) parseKey(text string) (midi.Key, *complaint) {
	if m := keyName().FindStringSubmatch(text); m != nil {
		return r.namedKey(text, m)
	}
	if c := checkDecimal(text, "", keyExamples); c != nil {
		return 0, c
	}
	v, err := strconv.Atoi(text)
	if err != nil || v < 0 || v > 127 {
		return 0, complain("found %s, want %s", quote(text), keyExamples)
	}
	return midi.Key(v), nil
}

func (r *reader) namedKey(text string, m []string) (midi.Key, *complaint) {
	letter := strings.ToUpper(m[1])
	if letter != m[1] {
		return 0, complain("found %s, want %s", quote(text), keyExamples).advise("write %s%s%s", letter, m[2], m[3])
	}
	octave, _ := strconv.Atoi(m[3])
	v := 60 + 12*(octave-int(r.middleC)) + semitone[letter]
	switch m[2] {
	case "#", "♯":
		v++
	case "b", "♭":
		v--
	}
	if v < 0 || v > 127 {
		return 0, complain("found %s, which is key %d, want %s", quote(text), v, keyExamples)
	}
	return midi.Key(v), nil
}

// keyWord is one key; its values are midi.Key.
var keyWord = words{keyExamples, keyWritten, func(r *reader, text string) (any, *complaint) { return r.parseKey(text) }}

// keyNumber is one key; its values are int.
var keyNumber = leaf{words{keyExamples, keyWritten, func(r *reader, text string) (any, *complaint) {
	key, c := r.parseKey(text)
	return int(key), c
}}}

// keySpan is a range of keys, ends included; its values are alloc.KeyRange.
var keySpan = leaf{words{"a range of keys such as 36-96 or C2-C7", spanWritten, func(r *reader, text string) (any, *complaint) {
	return r.parseKeySpan(text)
}}}

func (r *reader) parseKeySpan(text string) (alloc.KeyRange, *complaint) {
	text = strings.ReplaceAll(text, "–", "-")
	odd := "" // the one end that is no key
	for i, c := range text {
		if c != '-' || i == 0 {
			continue
		}
		low, c1 := r.parseKey(strings.TrimSpace(text[:i]))
		high, c2 := r.parseKey(strings.TrimSpace(text[i+1:]))
		switch {
		case c1 != nil || c2 != nil: // the minus of an octave below 0, perhaps
			if c1 == nil {
				odd = strings.TrimSpace(text[i+1:])
			} else if c2 == nil {
				odd = strings.TrimSpace(text[:i])
			}
			continue
		case low > high:
			return alloc.KeyRange{}, complain("found %s, want the lower key first", quote(text)).
				advise("write %s-%s", strings.TrimSpace(text[i+1:]), strings.TrimSpace(text[:i]))
		}
		return alloc.KeyRange{Low: low, High: high}, nil
	}
	if key, c := r.parseKey(text); c == nil {
		return alloc.KeyRange{Low: key, High: key}, nil
	}
	if odd == "" {
		c := complain("found %s, want a range of keys within 0-127, such as 36-96 or C2-C7", quote(text))
		if low, up := strings.CutSuffix(text, "+"); up {
			c = c.advise("write %s-127", low)
		}
		return alloc.KeyRange{}, c
	}
	c := complain("found %s, where %s is no key, want a range of keys within 0-127, such as 36-96 or C2-C7", quote(text), quote(odd))
	if b := strings.NewReplacer("H", "B", "h", "b").Replace(odd); b != odd {
		if _, no := r.parseKey(b); no == nil {
			return alloc.KeyRange{}, c.advise("the German H is B here: write %s", strings.Replace(text, odd, b, 1))
		}
	}
	return alloc.KeyRange{}, c
}

const velocityExamples = "a range of velocities within 1-127, such as 1-127"

var velocityForm = pattern.Of(`^(0|[1-9][0-9]{0,2})(?: ?[-–] ?(0|[1-9][0-9]{0,2}))?$`)

// velocitySpan is a range of velocities, ends included; its values are
// [2]uint8.
var velocitySpan = leaf{words{velocityExamples, velocityWritten, func(_ *reader, text string) (any, *complaint) {
	c := complain("found %s, want %s", quote(text), velocityExamples)
	m := velocityForm().FindStringSubmatch(text)
	if m == nil {
		return nil, c
	}
	if m[2] == "" {
		m[2] = m[1]
	}
	low, _ := strconv.Atoi(m[1])
	high, _ := strconv.Atoi(m[2])
	switch {
	case low == 0:
		return nil, c.advise("a note-on of velocity 0 is a note-off")
	case high > 127:
		return nil, c
	case low > high:
		return nil, complain("found %s, want the lower velocity first", quote(text)).advise("write %d-%d", high, low)
	}
	return [2]uint8{uint8(low), uint8(high)}, nil
}}}
