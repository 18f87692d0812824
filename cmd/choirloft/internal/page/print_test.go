package page

import (
	"encoding/xml"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// The sheet prints in its own size on either paper: every page of it, lying or upright, on a page of
// ISO 216 or 8.5 by 11 inches, and the bar of 100 mm measures that, within half a millimetre.
func TestPrintInTheBrowser(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("no pdftoppm on this machine (Debian: apt-get install poppler-utils)")
	}
	p := open(t, newBench(t))
	p.do(click("#tab-paper"))
	for _, c := range []struct {
		paper         string
		width, height float64 // upright, mm
	}{{"a4", 210, 297}, {"letter", 8.5 * 25.4, 11 * 25.4}} {
		p.run(fmt.Sprintf(`{ const s = document.getElementById("paper-size"); s.value = %q; s.dispatchEvent(new Event("change")); }`, c.paper))
		p.until(fmt.Sprintf(`document.querySelectorAll("#sheets img.%s").length > 3 && [...document.querySelectorAll("#sheets img")].every((i) => i.complete && i.naturalWidth > 0)`, c.paper))
		lies := value[[]bool](p, `[...document.querySelectorAll("#sheets img")].map((i) => i.classList.contains("lies"))`)
		require.Contains(t, lies, true)
		require.Contains(t, lies, false)
		pdf, err := chromedp.Run(p.ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
		require.NoError(t, err)
		file := filepath.Join(t.TempDir(), "page.pdf")
		require.NoError(t, os.WriteFile(file, pdf, 0o666))
		words := printedWords(t, file)
		require.Len(t, words, len(lies), "a page each")
		for n, lying := range lies {
			width, height := c.width, c.height
			if lying {
				width, height = height, width
			}
			require.InDelta(t, width, words[n].Width/72*25.4, 0.2, "page %d", n+1)
			require.InDelta(t, height, words[n].Height/72*25.4, 0.2, "page %d", n+1)
		}
		require.InDelta(t, 100, bar(t, file, 1, words[0]), 0.5)
		require.InDelta(t, 100, bar(t, file, len(words)-1, words[len(words)-2]), 0.5)
		require.Contains(t, fmt.Sprint(words), "P4", "printed as text and lines, not as a bitmap")
		require.NotContains(t, fmt.Sprint(words), " Print}", "a button of the page") // the path of the rig may have it
	}
	p.quiet()
}

// printedPage are the words of a page and where they stand, in points of 1/72 inch.
type printedPage struct {
	Width  float64       `xml:"width,attr"`
	Height float64       `xml:"height,attr"`
	Words  []printedWord `xml:"word"`
}

type printedWord struct {
	X    float64 `xml:"xMin,attr"`
	Y    float64 `xml:"yMin,attr"`
	Text string  `xml:",chardata"`
}

func printedWords(t *testing.T, file string) []printedPage {
	t.Helper()
	out, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	require.NoError(t, err)
	var all struct {
		Pages []printedPage `xml:"body>doc>page"`
	}
	require.NoError(t, xml.Unmarshal(out, &all))
	return all.Pages
}

// bar measures the bar of a page in mm, in a picture of the page at the height of its words.
func bar(t *testing.T, file string, n int, page printedPage) float64 {
	t.Helper()
	const dpi = 508 // 20 dots a mm
	dots := func(points float64) string { return fmt.Sprint(int(points / 72 * dpi)) }
	for i := range page.Words[:len(page.Words)-2] {
		if page.Words[i].Text != "This" || page.Words[i+1].Text != "bar" {
			continue
		}
		picture := filepath.Join(t.TempDir(), "bar")
		out, err := exec.Command("pdftoppm", "-png", "-gray", "-singlefile", "-r", fmt.Sprint(dpi), "-f", fmt.Sprint(n), "-l", fmt.Sprint(n),
			"-x", "0", "-y", dots(page.Words[i].Y-6), "-W", dots(page.Width), "-H", dots(12), file, picture).CombinedOutput()
		require.NoError(t, err, string(out))
		f, err := os.Open(picture + ".png")
		require.NoError(t, err)
		defer f.Close()
		drawn, err := png.Decode(f)
		require.NoError(t, err)
		return longest(drawn)/20 - 0.25 // its ends are strokes of 0.25 mm, and count to their middles
	}
	require.Fail(t, "no bar", "page %d: %.200s", n, fmt.Sprint(page.Words))
	return 0
}

// longest is the length of the longest line from left to right, in dots.
func longest(drawn image.Image) float64 {
	most, b := 0, drawn.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		long := 0
		for x := b.Min.X; x < b.Max.X; x++ {
			if r, _, _, _ := drawn.At(x, y).RGBA(); r > 0xb000 {
				long = 0
				continue
			}
			long++
			most = max(most, long)
		}
	}
	return float64(most)
}

// Paper is one of two, and that of the files too.
func TestPaper(t *testing.T) {
	b := newBench(t)
	for paper, want := range map[string]string{"": `width=\"210mm\"`, "a4": `width=\"210mm\"`, "letter": `width=\"215.9mm\"`} {
		status, answer := b.post("sheets", fmt.Sprintf(`{"paper": %q}`, paper))
		require.Equal(t, 200, status)
		require.Contains(t, answer, want)
		status, answer = b.post("file", fmt.Sprintf(`{"kind": "sheet.pdf", "paper": %q}`, paper))
		require.Equal(t, 200, status)
		require.Equal(t, paper == "letter", strings.Contains(answer, "/MediaBox [0 0 612"), paper)
	}
	status, answer := b.post("sheets", `{"paper": "a3"}`)
	require.Equal(t, 400, status)
	require.Contains(t, answer, "paper: found a3, want a4 or letter")
}
