package draw

import (
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// face is a font: its file, and how wide its signs are in thousandths of an
// em, −1 for those that it lacks.
type face struct {
	file   []byte
	parsed *sfnt.Font
	widths [1 << 16]int16
}

var faces = [2]func() *face{
	sync.OnceValue(func() *face { return load(dejavusanscondensed.TTF) }),
	sync.OnceValue(func() *face { return load(dejavusanscondensedbold.TTF) }),
}

func faceOf(bold bool) *face {
	if bold {
		return faces[1]()
	}
	return faces[0]()
}

// load reads the widths of all signs of the basic plane. Others are not used:
// fpdf does not take them.
func load(file []byte) *face {
	parsed, err := sfnt.Parse(file)
	if err != nil {
		panic("the built-in font is faulty: " + err.Error())
	}
	f := &face{file: file, parsed: parsed}
	var b sfnt.Buffer
	for r := range f.widths {
		f.widths[r] = -1
		glyph, err := parsed.GlyphIndex(&b, rune(r))
		if err != nil || glyph == 0 {
			continue
		}
		if w, err := parsed.GlyphAdvance(&b, glyph, fixed.I(1000), 0); err == nil {
			f.widths[r] = int16(w.Round())
		}
	}
	return f
}

func (f *face) has(r rune) bool { return r < 1<<16 && f.widths[r] >= 0 }

// missing stands for a sign that the font lacks.
const missing = '□'

// Clean returns a text as it is drawn: composed, on one line, without signs
// that have no shape, and with □ for those that the font lacks.
func Clean(s string) string {
	if plain(s) {
		return s
	}
	f := faceOf(false)
	clean := strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case unicode.In(r, unicode.Cf, unicode.Variation_Selector):
			return -1
		case !f.has(r):
			return missing
		}
		return r
	}, norm.NFC.String(strings.ToValidUTF8(s, string(missing))))
	return strings.TrimRight(clean, " ")
}

// plain tells whether a text is printable ASCII.
func plain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return !strings.HasSuffix(s, " ")
}

// widthOf returns the width in mm of a clean text.
func widthOf(s string, t Type) float64 {
	f, sum := faceOf(t.Bold), 0
	for _, r := range s {
		w := f.widths[r]
		if w < 0 {
			w = f.widths[missing]
		}
		sum += int(w)
	}
	return float64(sum) * t.Size / 1000
}

// Width returns how wide a text runs, in mm.
func Width(s string, t Type) float64 { return widthOf(Clean(s), t) }

// Fit returns as much of a text as fits into a width in mm, with … where
// something is left out.
func Fit(s string, width float64, t Type) string {
	s = Clean(s)
	if widthOf(s, t) <= width {
		return s
	}
	end := 0
	for i := range s {
		if widthOf(strings.TrimRight(s[:i], " ")+"…", t) > width {
			break
		}
		end = i
	}
	if end == 0 && widthOf("…", t) > width {
		return ""
	}
	return strings.TrimRight(s[:end], " ") + "…"
}

// FitName is Fit for names that differ at their end: what is left out is in the
// middle.
func FitName(s string, width float64, t Type) string {
	s = Clean(s)
	if widthOf(s, t) <= width {
		return s
	}
	runes := []rune(s)
	for keep := len(runes) - 1; keep > 1; keep-- {
		tail := min(keep/2, 4)
		if cut := string(runes[:keep-tail]) + "…" + string(runes[len(runes)-tail:]); widthOf(cut, t) <= width {
			return cut
		}
	}
	return Fit(s, width, t)
}

// Wrap breaks a text at spaces into lines of at most a width in mm. A word that
// is longer is broken where it must be.
func Wrap(s string, width float64, t Type) []string {
	var lines []string
	current := ""
	for _, word := range strings.Fields(Clean(s)) {
		if current != "" && widthOf(current+" "+word, t) <= width {
			current += " " + word
			continue
		}
		if current != "" {
			lines = append(lines, current)
		}
		for widthOf(word, t) > width {
			n := breakAt(word, width, t)
			lines, word = append(lines, word[:n]), word[n:]
		}
		current = word
	}
	if current != "" {
		lines = append(lines, current)
	}
	return lines
}

// breakAt is how many bytes of a word fit into a width; at least one sign.
func breakAt(word string, width float64, t Type) int {
	n := 0
	for i := range word {
		if i > 0 && widthOf(word[:i], t) > width {
			break
		}
		if i > 0 {
			n = i
		}
	}
	if n == 0 {
		for i := range word {
			if i > 0 {
				return i
			}
		}
		return len(word)
	}
	return n
}
