package paper

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi/corpora"
	"choirloft/routing/plan"
)

// shape is what an SVG paints: an area, or a line as wide as its stroke.
type shape struct {
	points       []draw.Point
	fill, stroke string // #rrggbb, or empty
	width        float64
}

var pathStep = regexp.MustCompile(`([MLhvz])([-\d.]*)(?: ([-\d.]+))?`)

// shapesOf reads the figures of a path.
func shapesOf(d string, paint shape) (all []shape) {
	number := func(s string) float64 { v, _ := strconv.ParseFloat(s, 64); return v }
	for _, step := range pathStep.FindAllStringSubmatch(d, -1) {
		if step[1] == "M" {
			all = append(all, paint)
		}
		now := &all[len(all)-1]
		x, y := number(step[2]), number(step[3])
		if n := len(now.points); n > 0 {
			last := now.points[n-1]
			switch step[1] {
			case "h":
				x, y = last.X+x, last.Y
			case "v":
				x, y = last.X, last.Y+x
			case "z":
				x, y = now.points[0].X, now.points[0].Y
			}
		}
		now.points = append(now.points, draw.Point{X: x, Y: y})
	}
	return all
}

// colourAt is what a shape paints a point with, or empty.
func (s *shape) colourAt(at draw.Point) string {
	inside, near := false, false
	for i := 1; i <= len(s.points); i++ {
		a, b := s.points[i-1], s.points[i%len(s.points)]
		if a.Y > at.Y != (b.Y > at.Y) && at.X < a.X+(at.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			inside = !inside
		}
		if i < len(s.points) {
			dx, dy := b.X-a.X, b.Y-a.Y
			along := max(0, min(1, ((at.X-a.X)*dx+(at.Y-a.Y)*dy)/max(1e-9, dx*dx+dy*dy)))
			near = near || math.Hypot(at.X-a.X-along*dx, at.Y-a.Y-along*dy) <= s.width/2
		}
	}
	switch {
	case near && s.stroke != "":
		return s.stroke
	case inside:
		return s.fill
	}
	return ""
}

// far tells whether a shape paints nothing in a box.
func (s *shape) far(left, top, right, bottom float64) bool {
	low, high := s.points[0], s.points[0]
	for _, p := range s.points {
		low.X, low.Y, high.X, high.Y = min(low.X, p.X), min(low.Y, p.Y), max(high.X, p.X), max(high.Y, p.Y)
	}
	return low.X-s.width > right || high.X+s.width < left || low.Y-s.width > bottom || high.Y+s.width < top
}

// contrast is that of two colours, by the definitions of contrast ratio and relative
// luminance in WCAG 2.2.
func contrast(a, b string) float64 {
	luminance := func(colour string) (l float64) {
		for c, weight := range []float64{0.2126, 0.7152, 0.0722} {
			v, _ := strconv.ParseUint(colour[1+2*c:3+2*c], 16, 8)
			x := float64(v) / 255
			if x <= 0.04045 {
				x /= 12.92
			} else {
				x = math.Pow((x+0.055)/1.055, 2.4)
			}
			l += weight * x
		}
		return l
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// requireContrast reads a picture back as SVG, and lays each text beside all that is painted
// below it, at points as far apart as a stem is wide.
func requireContrast(t *testing.T, name, svg string) (texts int) {
	t.Helper()
	var below []shape
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return texts
		}
		require.NoError(t, err)
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		has := map[string]string{}
		for _, a := range start.Attr {
			has[a.Name.Local] = a.Value
		}
		number := func(name string) float64 { v, _ := strconv.ParseFloat(has[name], 64); return v }
		switch start.Name.Local {
		case "path":
			paint := shape{fill: strings.Replace(has["fill"], "none", "", 1), stroke: has["stroke"], width: number("stroke-width")}
			below = append(below, shapesOf(has["d"], paint)...)
		case "text":
			texts++
			ink := has["fill"]
			if ink == "" {
				ink = "#181818"
				require.Equal(t, [3]uint8{0x18, 0x18, 0x18}, draw.Black.RGB())
			}
			size, long := number("font-size"), number("textLength")
			wide, high := long, 0.73*size // capitals
			if has["transform"] != "" {
				wide, high = 0.73*size, long
			}
			x, y := number("x"), number("y")
			if has["transform"] != "" {
				x -= wide
			}
			near := slices.DeleteFunc(slices.Clone(below), func(s shape) bool { return s.far(x, y-high, x+wide, y) })
			content, _ := d.Token()
			words, _ := content.(xml.CharData)
			for i := 0.1; i < wide; i += 0.6 {
				for j := 0.1; j < high; j += 0.6 {
					at, ground := draw.Point{X: x + i, Y: y - j}, "#ffffff"
					for k := range near {
						if colour := near[k].colourAt(at); colour != "" {
							ground = colour
						}
					}
					require.GreaterOrEqual(t, contrast(ink, ground), 4.5, "%s: %q in %s on %s at %.1f, %.1f", name, words, ink, ground, at.X, at.Y)
				}
			}
		}
	}
}

// Whatever stands in a picture or on a page can be read in grey print: text has a contrast of
// 4.5 to all that is below it (WCAG 2.2, 1.4.3), in the inks that the drawing has.
func TestTextCanBeRead(t *testing.T) {
	texts := 0
	for _, flags := range [][]string{{"--voices", "10"}, {"--voices", "8", "--steal", "none"}}[:corpora.Some(1, 2)] {
		s := demoSong(t, plan.MustParse(flags...))
		texts += requireContrast(t, strings.Join(flags, " "), svgText(s.signed()))
	}
	for _, p := range Pages(say.Sheet(demoSheet(t)), Drawings(demoSheet(t).Map), Options{}) {
		texts += requireContrast(t, p.Title, svgText(p))
	}
	s := longSong(t, "10")
	texts += requireContrast(t, "a long song", svgText(s.pictures()[0].draw(pictureWidth, pictureHeight)))
	for _, file := range []string{"../cli/testdata/curve-demo.svg", "../cli/testdata/map-pitch.svg", "../figures/testdata/take.svg"} {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		texts += requireContrast(t, file, string(data))
	}
	require.Greater(t, texts, corpora.Some(900, 1000))
}

// The fills of fields have the contrasts to paper that their names say, and to each other at least 1.5.
func TestFillsInGreyPrint(t *testing.T) {
	hex := func(i draw.Ink) string { c := i.RGB(); return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2]) }
	for ink, want := range map[draw.Ink]float64{draw.Grey: 3, draw.Dark: 6, draw.Deep: 12} {
		require.InDelta(t, want, contrast(hex(ink), "#ffffff"), 0.15)
	}
	// Black on white is 21, and #767676 is the lightest grey that passes 4.5 there: both are well known (from memory).
	require.InDelta(t, 21, contrast("#000000", "#ffffff"), 1e-9)
	require.GreaterOrEqual(t, contrast("#767676", "#ffffff"), 4.5)
	require.Less(t, contrast("#777777", "#ffffff"), 4.5)
}

// In a song of more parts than there are greys the hatch comes again, with a sign of the part.
func TestPartsWithSigns(t *testing.T) {
	s := demoSong(t, plan.MustParse("--voices", "10"))
	s.Lanes.Parts = []string{"pad", "bass", "arp", "lead", "air", "alto", "áir", "aa"}
	for i := range s.Lanes.Spans {
		s.Lanes.Spans[i].Part = i % 8
	}
	p := figures.Lanes(s.Lanes, &s.Replay.Result, s.Lanes.All(), 400, 200)
	svg := svgText(p)
	requireContrast(t, "eight parts", svg)
	for _, sign := range []string{"ai", "al", "ái", "aa"} {
		require.Contains(t, svg, ">"+sign+"<", "in the legend")
	}
	require.Regexp(t, `>(ai|al|ái|aa) [A-G]#?\d<`, svg, "on a bar")
}
