package unit

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

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
