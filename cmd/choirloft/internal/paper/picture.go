package paper

import (
	"fmt"
	"io"
	"math"
	"strings"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/profiles/pattern"
)

// LeastPixels and MostPixels are how wide a PNG may be.
const LeastPixels, MostPixels = 200, 10_000

// dots are those of a PNG to the mm where nobody asks for a width: about 127 to the inch.
const dots = 5.0

// mostDots is how many a PNG has at most.
const mostDots = 200_000_000

// TooManyPixelsError says that a PNG would be too large, and how wide it can be.
type TooManyPixelsError struct{ Width, Height, Most int }

func (e *TooManyPixelsError) Error() string {
	return fmt.Sprintf("a picture of %d by %d pixels is too large: at most %d pixels wide", e.Width, e.Height, e.Most)
}

// png writes a picture as wide as asked for.
func (o Options) png(w io.Writer, p *draw.Picture) error {
	scale := dots
	if o.Width > 0 {
		scale = float64(o.Width) / p.Width
	}
	if p.Width*p.Height*scale*scale > mostDots {
		most := math.Sqrt(mostDots * p.Width / p.Height)
		return &TooManyPixelsError{int(math.Round(p.Width * scale)), int(math.Round(p.Height * scale)), int(most)}
	}
	return draw.PNG(w, p, scale)
}

// footLines are what stands below a picture: the command that drew it, and the rules.
func footLines(command, rules string) (lines []string) {
	for _, text := range []string{command, rules} {
		if text != "" {
			lines = append(lines, text)
		}
	}
	return lines
}

// footRow is the height of a line below a picture.
const footRow = 3.4

// caption writes lines from a height on, folded to a width, and returns how many it takes.
func caption(p *draw.Picture, x, y, width float64, lines []string) (rows int) {
	t := draw.Type{Size: remark, Ink: draw.Dark}
	for _, line := range lines {
		for _, part := range foldCommand(line, width, t) {
			rows++
			p.Text(x, y+footRow*float64(rows)-0.8, part, t)
		}
	}
	return rows
}

// foldCommand breaks a text that may have a command in it at spaces, but not between a flag and its
// value, nor within quotes, nor between the command and the file that it is about.
func foldCommand(text string, width float64, t draw.Type) (lines []string) {
	var parts []string
	quoted := false
	for _, word := range strings.Fields(text) {
		if n := len(parts); n > 0 && (quoted || opening().MatchString(parts[n-1]) || flagAlone().MatchString(parts[n-1]) && !strings.HasPrefix(word, "-")) {
			parts[n-1] += " " + word
		} else {
			parts = append(parts, word)
		}
		quoted = quoted != (strings.Count(word, "'")%2 == 1)
	}
	for _, part := range parts {
		if n := len(lines); n > 0 && draw.Width(lines[n-1]+" "+part, t) <= width {
			lines[n-1] += " " + part
		} else {
			lines = append(lines, draw.Wrap(part, width, t)...)
		}
	}
	return lines
}

// opening is the beginning of a command.
var opening = pattern.Of(`^choirloft( [a-z]+)?$`)

// flagAlone is a flag whose value may follow it as a word of its own.
var flagAlone = pattern.Of(`^--?[a-z][a-z-]*$`)

// identify says of a picture that stands in a document which rig it is of, the plan code and
// the command; below it too, unless it has that drawn.
func (f *flow) identify(p *draw.Picture, drawn bool) {
	lines := footLines(strings.TrimPrefix(f.name+", plan "+f.fingerprint, ", "), f.o.Command)
	p.About = strings.TrimSuffix(strings.Join(lines, ". ")+". "+p.About, " ")
	if !drawn {
		p.Height += footRow * float64(caption(p, f.left(), p.Height, f.width(), lines))
	}
}

// signed adds a line above a picture that goes out by itself: what it shows, the rig unless
// that says it, and the code of the plan; and lines below it.
func signed(p *draw.Picture, what, rig, code string, below []string) *draw.Picture {
	const line = 11.0
	out := draw.New(p.Width, p.Height+line)
	said := "plan " + code
	if rig != "" {
		said = ", " + said
	}
	out.Title, out.About = p.Title, strings.Join(append([]string{strings.TrimSuffix(what+"; "+rig, "; ") + ", plan " + code}, below...), ". ")+"."
	out.Place(0, line, p)
	t := draw.Type{Size: remark, Ink: draw.Dark, Align: draw.End}
	half := out.Width/2 - 4
	out.Text(out.Width-2, 5.4, draw.Fit(rig, half-draw.Width(said, t), t)+said, t)
	title := draw.Type{Size: 4}
	out.Text(2, 5.6, draw.Fit(what, half, title), title)
	out.Height += footRow * float64(caption(out, 2, out.Height, out.Width-4, below))
	return out
}
