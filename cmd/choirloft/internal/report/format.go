package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"choirloft/midi"
)

// none stands in a table where there is nothing to say.
const none = "-"

// Printable writes what a terminal would obey instead of showing it, such as the
// control characters that the name of a file may have, as Go does: \x1b, \n. The
// rest stays as it is.
func Printable(s string) string {
	if strings.IndexFunc(s, unprintable) < 0 {
		return s
	}
	var b strings.Builder
	for i, r := range s {
		switch {
		case !unprintable(r):
			b.WriteRune(r)
		case r == utf8.RuneError:
			fmt.Fprintf(&b, `\x%02x`, s[i]) // if it is U+FFFD itself, its first byte
		default:
			quoted := strconv.QuoteRuneToASCII(r)
			b.WriteString(quoted[1 : len(quoted)-1])
		}
	}
	return b.String()
}

// unprintable are control characters, signs that turn the direction of writing,
// and bytes that are no text.
func unprintable(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == utf8.RuneError
}

// Level prints a level to 0.1 dB; nil as a dash.
func Level(db *float64) string {
	if db == nil {
		return none
	}
	return tenths(*db) + " dB"
}

// tenths rounds to 0.1 and never prints -0.0.
func tenths(v float64) string {
	v = math.Round(v*10) / 10
	if v == 0 {
		v = 0 // not the negative zero
	}
	return strconv.FormatFloat(v, 'f', 1, 64)
}

// Span prints how long something lasts: in whole milliseconds below a second
// (0.1 ms below 10 ms), above it in seconds; 0 as a dash.
func Span(seconds float64) string {
	ms := seconds * 1000
	switch {
	case seconds == 0:
		return none
	case ms < 9.95:
		return tenths(ms) + " ms"
	case ms < 999.5:
		return strconv.FormatFloat(ms, 'f', 0, 64) + " ms"
	case seconds < 99.995:
		return strconv.FormatFloat(seconds, 'f', 2, 64) + " s"
	}
	return strconv.FormatFloat(seconds, 'f', 0, 64) + " s"
}

// Clock prints a time of a song as minutes, seconds and milliseconds.
func Clock(seconds float64) string {
	ms := int64(math.Round(seconds * 1000))
	return fmt.Sprintf("%d:%02d.%03d", ms/60000, ms/1000%60, ms%1000)
}

// Length prints the length of a song as minutes and whole seconds.
func Length(seconds float64) string {
	s := int64(math.Round(seconds))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// Percent prints a share (0–1) in whole per cent; what is not quite nothing
// is told from nothing.
func Percent(share float64) string {
	if share > 0 && share < 0.005 {
		return "<1 %"
	}
	return strconv.FormatFloat(share*100, 'f', 0, 64) + " %"
}

// Count prints a number with the word for what it counts, which takes an s in
// the plural.
func Count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// Cell prints a number in a table, 0 as a dash.
func Cell(n int) string {
	if n == 0 {
		return none
	}
	return strconv.Itoa(n)
}

// list joins words: a, b and c.
func list(words []string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}

// keyName names a key, also one that a transposition has moved outside of
// 0–127. middleC is the octave of key 60.
func keyName(key, middleC int) string {
	octaves := 0
	for ; key < 0; octaves-- {
		key += 12
	}
	for ; key > 127; octaves++ {
		key -= 12
	}
	return midi.Key(key).Name(middleC + octaves)
}

// seconds returns a time in seconds, as near as a float64 gets.
func seconds(d time.Duration) float64 { return float64(d) / float64(time.Second) }

// level returns a level in dB, nil for silence: what is lower than any level
// that a rig may name is nothing but the rounding of one.
func level(db float64) *float64 {
	if db < lowestLevel {
		return nil
	}
	return finite(db)
}

// lowestLevel is the lowest level, in dB, that a rig may set as a limit.
const lowestLevel = -200

// finite returns nil for what JSON cannot say.
func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}
