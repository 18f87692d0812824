package draw

import (
	"bytes"
	"encoding/xml"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"choirloft/midi/corpora"

	"github.com/stretchr/testify/require"
)

// sample has one of everything.
func sample() *Picture {
	p := New(120, 80)
	p.Title = `A <sample> & "more"`
	p.Rect(10, 10, 30, 10, Fill(Black))
	p.Rect(50, 10, 30, 10, Style{Fill: Blush, Stroke: Accent, Width: 0.5})
	p.Line(10, 30, 110, 30, Stroke(Grey, 0.3))
	p.Line(10, 34, 110, 40, Style{Stroke: Dark, Width: 0.6, Dash: 2})
	p.Path([]Point{{10, 60}, {30, 45}, {50, 60}}, Fill(Light))
	p.Path([]Point{{60, 60}, {70, 45}, {80, 60}, {90, 45}}, Stroke(Accent, 1))
	p.Circle(102, 52, 5, Style{Fill: Faint, Stroke: Black})
	p.Clip(10, 62, 20, 10)
	p.Rect(0, 64, 120, 4, Fill(Black))
	p.Unclip()
	p.Text(10, 26, "Kiln Yard ♯♭ Печь é", Type{Size: 4})
	p.Text(60, 72, "middle", Type{Size: 6, Bold: true, Align: Middle, Ink: Accent})
	p.Text(110, 78, "end", Type{Size: 4, Align: End, Ink: Grey})
	p.Text(117, 70, "turned", Type{Size: 4, Turned: true})
	p.Text(54, 17, "on a field", Type{Size: 4, Ink: Accent})
	return p
}

func bytesOf(t testing.TB, write func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	return b.Bytes()
}

func pdfOf(t testing.TB, pages ...*Picture) []byte {
	return bytesOf(t, func(b *bytes.Buffer) error { return PDF(b, About{Title: "sample"}, pages...) })
}

func pngOf(t testing.TB, p *Picture, dots float64) []byte {
	return bytesOf(t, func(b *bytes.Buffer) error { return PNG(b, p, dots) })
}

func svgOf(t testing.TB, p *Picture) []byte {
	return bytesOf(t, func(b *bytes.Buffer) error { return SVG(b, p) })
}

func TestSameBytes(t *testing.T) {
	require.Equal(t, pdfOf(t, sample(), sample()), pdfOf(t, sample(), sample()))
	require.Equal(t, pngOf(t, sample(), 4), pngOf(t, sample(), 4))
	require.Equal(t, svgOf(t, sample()), svgOf(t, sample()))
}

func TestGoldenSVG(t *testing.T) {
	file := filepath.Join("testdata", "sample.svg")
	got := svgOf(t, sample())
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.MkdirAll("testdata", 0o777))
		require.NoError(t, os.WriteFile(file, got, 0o666))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got))
}

// tool runs a program of poppler, or qpdf: other readings of ISO 32000 than fpdf's.
func tool(t testing.TB, file []byte, name string, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "a.pdf")
	require.NoError(t, os.WriteFile(path, file, 0o666))
	for i := range args {
		if args[i] == "FILE" {
			args[i] = path
		}
	}
	if _, err := exec.LookPath(name); err != nil && !corpora.Asked() {
		t.Skip("needs poppler-utils and qpdf")
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, "%s", out)
	return string(out)
}

// TestWords: poppler finds each word where the picture says that it is.
func TestWords(t *testing.T) {
	p := sample()
	out := tool(t, pdfOf(t, p), "pdftotext", "-bbox-layout", "FILE", "-")
	words := regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)<`).FindAllStringSubmatch(out, -1)
	at := map[string][4]float64{}
	for _, w := range words {
		var box [4]float64
		for i := range box {
			v, err := strconv.ParseFloat(w[i+1], 64)
			require.NoError(t, err)
			box[i] = v / perMM
		}
		at[w[5]] = box
	}
	for _, x := range p.Texts() {
		fields := strings.Fields(x.Text)
		first, ok := at[fields[0]]
		require.True(t, ok, "%s in %s", fields[0], out)
		last := at[fields[len(fields)-1]]
		if x.Text == "turned" {
			require.InDelta(t, x.Top, first[1], 0.1, x.Text)
			require.InDelta(t, x.Bottom, first[3], 0.1, x.Text)
			continue
		}
		require.InDelta(t, x.Left, first[0], 0.1, x.Text)
		require.InDelta(t, x.Right, last[2], 0.1, x.Text)
	}
}

// TestPicturesAgree lays the PNG of this package beside the PDF as poppler
// paints it: how dark each square of 4 mm is.
func TestPicturesAgree(t *testing.T) {
	p := sample()
	folder := t.TempDir()
	tool(t, pdfOf(t, p), "pdftoppm", "-r", "101.6", "-png", "-singlefile", "FILE", filepath.Join(folder, "page")) // 4 dots to the mm
	theirs := darkness(t, folder+"/page.png")
	ours := filepath.Join(folder, "ours.png")
	require.NoError(t, os.WriteFile(ours, pngOf(t, p, 4), 0o666))
	for at, want := range darkness(t, ours) {
		require.InDelta(t, theirs[at], want, 0.07, at)
	}
}

func darkness(t *testing.T, file string) map[image.Point]float64 {
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	img, err := png.Decode(f)
	require.NoError(t, err)
	sum := map[image.Point]float64{}
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			r, g, b, _ := img.At(x, y).RGBA()
			sum[image.Pt(x/16, y/16)] += (1 - float64(r+g+b)/(3*0xffff)) / 256
		}
	}
	return sum
}

func TestPDFPage(t *testing.T) {
	a4, letter := New(210, 297), New(279.4, 215.9)
	a4.Text(10, 10, "A4", Type{Size: 4})
	letter.Text(10, 10, "letter", Type{Size: 4, Bold: true})
	file := pdfOf(t, a4, letter)
	info := tool(t, file, "pdfinfo", "-l", "2", "FILE")
	require.Regexp(t, `Pages: +2\n`, info)
	require.Regexp(t, `Page +1 size: +595\.28 x 841\.89 pts \(A4\)`, info) // ISO 216: 210 by 297 mm
	require.Regexp(t, `Page +2 size: +792 x 612 pts \(letter\)`, info)     // 11 by 8.5 inches
	fonts := strings.Split(strings.TrimSpace(tool(t, file, "pdffonts", "FILE")), "\n")[2:]
	require.Len(t, fonts, 2)
	for _, line := range fonts {
		require.Regexp(t, ` yes +(yes|no) +yes `, line) // embedded, with a table to Unicode
	}
}

// TestPDFSaysWhatItIs: title and language, and a date only where one was given (ISO 32000-1,
// 14.3.3 and 14.9.2); qpdf finds every object where the file says.
func TestPDFSaysWhatItIs(t *testing.T) {
	undated := pdfOf(t, sample())
	require.NotContains(t, string(undated), "Date")
	for _, text := range []string{"/Lang (en)", "/Creator", "/Title"} {
		require.Contains(t, string(undated), text)
	}
	dated := bytesOf(t, func(b *bytes.Buffer) error {
		return PDF(b, About{Title: "dated", Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)}, sample())
	})
	require.Equal(t, 2, strings.Count(string(dated), "Date (D:20261125000000)"))
	info := tool(t, undated, "pdfinfo", "FILE")
	require.Regexp(t, `Title: +sample\n`, info)
	require.NotContains(t, info, "Date")
	require.Regexp(t, `CreationDate: +Wed Nov 25 .*2026`, tool(t, dated, "pdfinfo", "FILE"))
	for _, file := range [][]byte{undated, dated} {
		require.Contains(t, tool(t, file, "qpdf", "--check", "FILE"), "No syntax or stream encoding errors found")
	}
}

// TestSVGIsXML reads the picture with another parser, and looks for what would
// keep it from being self-contained.
func TestSVGIsXML(t *testing.T) {
	file := svgOf(t, sample())
	d := xml.NewDecoder(bytes.NewReader(file))
	texts := 0
	for {
		token, err := d.Token()
		if token == nil {
			break
		}
		require.NoError(t, err)
		if s, ok := token.(xml.StartElement); ok && s.Name.Local == "text" {
			texts++
		}
	}
	require.Equal(t, len(sample().Texts()), texts)
	require.NotContains(t, string(file), "href")
	require.NotContains(t, string(file), "style=") // a strict content policy drops those
}

func TestClean(t *testing.T) {
	for from, want := range map[string]string{
		"plain":               "plain",
		"Voix aiguë":          "Voix aiguë",
		"e\u0301te\u0301":     "été", // decomposed, as macOS names files
		"Печь ♯♭ …":           "Печь ♯♭ …",
		"a\tb\nc\r":           "a b c",
		"🎹 keys":              "🎹 keys",
		"👩‍🎤":                 "👩🎤",
		"\xff\xfe":            "\ufffd",
		"no\u200bjoin\ufe0f":  "nojoin",
		"\u202eright to left": "right to left",
		"漢字":                  "漢字",
		"":                    "",
	} {
		require.Equal(t, want, Clean(from), "%q", from)
	}
}

// Letters that the font lacks are in an SVG as they are, and refused where the font is
// drawn or embedded: no file has boxes.
func TestLacking(t *testing.T) {
	p := New(100, 20)
	p.Text(10, 5, "Kiln", Type{Size: 4})
	require.NoError(t, PDF(io.Discard, About{}, p))
	p.Text(10, 10, "炉の庭 炉", Type{Size: 4})
	for _, err := range []error{PDF(io.Discard, About{}, New(10, 10), p), PNG(io.Discard, p, 2)} {
		require.EqualError(t, err, `the font lacks letters of "炉の庭 炉": 炉の庭`)
	}
	require.Contains(t, string(svgOf(t, p)), ">炉の庭 炉<")
	require.NotContains(t, string(svgOf(t, p)), "□")
	require.Empty(t, Lacking("Große Печь ♯1 … Ω □ \xff"))
}

func TestFitAndWrap(t *testing.T) {
	tt := Type{Size: 4}
	require.Equal(t, "short", Fit("short", 20, tt))
	long := Fit("a name that goes on and on", 20, tt)
	require.True(t, strings.HasSuffix(long, "…"))
	require.LessOrEqual(t, Width(long, tt), 20.0)
	require.Greater(t, Width(long, tt), 14.0)
	require.Equal(t, "", Fit("nothing fits", 0.5, tt))
	require.Equal(t, []string{"one", "two"}, Wrap("one two", Width("one tw", tt), tt))
	require.Nil(t, Wrap("  ", 10, tt))
	require.Greater(t, len(Wrap(strings.Repeat("x", 100), 10, tt)), 5)
}

// FuzzText: whatever a text says, it can be drawn, fits where it is fitted, and
// wraps without losing a sign.
func FuzzText(f *testing.F) {
	for _, s := range []string{"K1", "Печь", "🎹🎹", "\x00\xff", "e\u0301\u0301\u0301", "a\u202eb", "<&\">", "(\\)"} {
		f.Add(s, 10.0)
	}
	f.Fuzz(func(t *testing.T, s string, width float64) {
		if !(width > 3 && width < 1000) || len(s) > 500 {
			return
		}
		tt := Type{Size: 4, Bold: len(s)%2 == 0}
		require.LessOrEqual(t, Width(Fit(s, width, tt), tt), width+1e-9)
		joined := ""
		for _, line := range Wrap(s, width, tt) {
			joined += strings.ReplaceAll(line, " ", "")
			if utf8.RuneCountInString(line) > 1 {
				require.LessOrEqual(t, Width(line, tt), width+1e-9)
			}
		}
		require.Equal(t, strings.ReplaceAll(strings.Join(strings.Fields(Clean(s)), ""), " ", ""), joined)
		p := New(100, 20)
		p.Title = s
		p.Text(10, 10, s, tt)
		for _, x := range p.Texts() { // what fpdf takes
			require.NotContains(t, x.Text, "\n")
		}
		var refused *LettersError
		if err := PNG(io.Discard, p, 2); len(Lacking(s)) > 0 {
			require.ErrorAs(t, err, &refused)
			require.Equal(t, Lacking(s), refused.Letters)
		} else {
			require.NoError(t, err)
		}
		require.NoError(t, xml.Unmarshal(svgOf(t, p), new(struct{})))
	})
}

// bars is a picture of n bars on 64 lanes.
func bars(n int) *Picture {
	p := New(400, 200)
	for i := range n {
		x, y := math.Mod(float64(i)*7.31, 390), 3*float64(i%64)
		p.Rect(x, y, 2.5, 2, Fill(Black))
		p.Rect(x+2.5, y+0.5, 1, 1, Stroke(Dark, 0.2))
		p.Path([]Point{{x + 3.5, y + 1}, {x + 5, y + 2}, {x + 3.5, y + 2}}, Fill(Grey))
	}
	for i := range 64 {
		p.Text(392, 3*float64(i)+2, "K"+strconv.Itoa(i), Type{Size: 2.5})
	}
	return p
}

func BenchmarkBars(b *testing.B) {
	p := bars(10_000)
	for name, write := range map[string]func(*bytes.Buffer) error{
		"svg": func(w *bytes.Buffer) error { return SVG(w, p) },
		"png": func(w *bytes.Buffer) error { return PNG(w, p, 5) },
		"pdf": func(w *bytes.Buffer) error { return PDF(w, About{}, p) },
	} {
		b.Run(name, func(b *testing.B) {
			var buf bytes.Buffer
			for b.Loop() {
				buf.Reset()
				if err := write(&buf); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(buf.Len()), "B/file")
		})
	}
}

// BenchmarkFont opens a font and measures what a sheet has of it.
func BenchmarkFont(b *testing.B) {
	for b.Loop() {
		f := load(faceOf(false).file)
		for r := ' '; r <= '~'; r++ {
			f.width(r)
		}
	}
}

// The title of a PNG is in a chunk that a reader takes: its sum is right, or
// image/png would refuse the file (PNG, third edition, 5.5; from memory).
func TestTitleOfPNG(t *testing.T) {
	p := New(20, 10)
	var bare, titled bytes.Buffer
	require.NoError(t, PNG(&bare, p, 1))
	p.Title = "Höhe, plan N2YMJ7Q3"
	require.NoError(t, PNG(&titled, p, 1))
	require.NotContains(t, bare.String(), "Title")
	require.Contains(t, titled.String(), "Title\x00\x00\x00\x00\x00"+p.Title)
	for _, file := range []*bytes.Buffer{&bare, &titled} {
		img, err := png.Decode(file)
		require.NoError(t, err)
		require.Equal(t, 20, img.Bounds().Dx())
	}
}

// Where there is no width at all each sign has a line, and nothing goes on without end.
func TestWrapWithoutRoom(t *testing.T) {
	for _, width := range []float64{0, -1} {
		require.Equal(t, []string{"a", "b", "é", "d"}, Wrap("ab éd", width, Type{Size: 3}))
	}
	require.Empty(t, Wrap(" ", -1, Type{Size: 3}))
}
