package draw

import (
	"fmt"
	"slices"
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

// wide is how wide a sign counts that the font lacks: a square, as those of Chinese,
// Japanese and Korean are, in thousandths of an em.
const wide = 1000

// Clean returns a text as it is drawn: composed, on one line, without signs that have no
// shape. Signs that the font lacks stay: an SVG shows them in another font, and [PDF] and
// [PNG] refuse them.
func Clean(s string) string {
	if plain(s) {
		return s
	}
	clean := strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case unicode.In(r, unicode.Cf, unicode.Variation_Selector):
			return -1
		case r == 0xFFFE || r == 0xFFFF: // no letters, and refused by XML
			return unicode.ReplacementChar
		}
		return r
	}, norm.NFC.String(strings.ToValidUTF8(s, string(unicode.ReplacementChar))))
	return strings.TrimRight(clean, " ")
}

// Lacking returns the letters of a text that the font lacks, each once.
func Lacking(s string) (letters []rune) {
	if plain(s) {
		return nil
	}
	for _, r := range Clean(s) {
		if !faceOf(false).has(r) && !slices.Contains(letters, r) {
			letters = append(letters, r)
		}
	}
	return letters
}

// LettersError refuses pictures that need letters which the font lacks: they would show
// as boxes.
type LettersError struct {
	Text    string // the first that needs some
	Letters []rune // that are lacking, of all texts, each once
}

func (e *LettersError) Error() string {
	const most = 8 // that are named
	text := string(e.Letters[:min(most, len(e.Letters))])
	if len(e.Letters) > most {
		text += " …"
	}
	return fmt.Sprintf("the font lacks letters of %q: %s", e.Text, text)
}

// legible refuses pictures with letters that the font lacks.
func legible(pages ...*Picture) error {
	var e LettersError
	for _, p := range pages {
		for i := range p.marks {
			for _, r := range Lacking(p.marks[i].text) {
				if len(e.Letters) == 0 {
					e.Text = p.marks[i].text
				}
				if !slices.Contains(e.Letters, r) {
					e.Letters = append(e.Letters, r)
				}
			}
		}
	}
	if len(e.Letters) == 0 {
		return nil
	}
	return &e
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
		if f.has(r) {
			sum += int(f.widths[r])
		} else {
			sum += wide
		}
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
