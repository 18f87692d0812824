package draw

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// face is a font: its file, and the widths of the signs that somebody asked for.
type face struct {
	file   []byte
	parsed *sfnt.Font
	widths [1 << 16]atomic.Int32 // plus known, so that 0 is what nobody asked for

	reading sync.Mutex
	buffer  sfnt.Buffer
}

// known is added to a width, lacks stands for a sign that the font lacks.
const known, lacks = 2, 1

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

func load(file []byte) *face {
	parsed, err := sfnt.Parse(file)
	if err != nil {
		panic("the built-in font is faulty: " + err.Error())
	}
	return &face{file: file, parsed: parsed}
}

// width is how wide a sign is in thousandths of an em, and whether the font has it. Beyond
// the basic plane it has none: fpdf does not take them.
func (f *face) width(r rune) (width int, has bool) {
	if r < 0 || r >= 1<<16 {
		return 0, false
	}
	w := f.widths[r].Load()
	if w == 0 {
		w = f.measure(r)
		f.widths[r].Store(w)
	}
	return int(w - known), w >= known
}

// measure reads the width of a sign from the font, as it is kept.
func (f *face) measure(r rune) int32 {
	f.reading.Lock()
	defer f.reading.Unlock()
	if glyph, err := f.parsed.GlyphIndex(&f.buffer, r); err == nil && glyph != 0 {
		if w, err := f.parsed.GlyphAdvance(&f.buffer, glyph, fixed.I(1000), 0); err == nil {
			return int32(w.Round()) + known
		}
	}
	return lacks
}

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
		if _, has := faceOf(false).width(r); !has && !slices.Contains(letters, r) {
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
		if width, has := f.width(r); has {
			sum += width
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
		for word != "" && widthOf(word, t) > width {
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
