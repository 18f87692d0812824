package paper

import (
	"bytes"
	"compress/zlib"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"html"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// jsonMap is as much of the JSON of a map as the sheet is held to.
type jsonMap struct {
	Voices []struct {
		Name        string
		Voice       int
		Pitch, Gate *jsonJack
		DetuneCents *float64 `json:"detune_cents"`
		Unison      *struct{ Of int }
		VoltsAt     map[string]float64 `json:"volts_at"`
	}
	Lanes, Macros []jsonJack
	Cables        []struct{ Number, From, To string }
}

type jsonJack struct {
	Name                   string
	Kind                   string
	Jack, Connector, Place int
	Port, Channel          int
	Message                string
}

// TestSheetSaysWhatTheMapSays reads the PDF back and lays it beside the JSON: each cable
// with its jack, each voice with its cables and its detune is there, and no row says
// anything else.
func TestSheetSaysWhatTheMapSays(t *testing.T) {
	m := demoSheet(t)
	data, err := contract.JSON(m.Map)
	require.NoError(t, err)
	var want jsonMap
	require.NoError(t, json.Unmarshal(data, &want))
	text := tool(t, pdfOf(t, m, Options{}), "pdftotext", "-raw", "FILE", "-")

	jacks := map[string]string{} // what stands in a row behind where its cable leads, by the name of the jack
	add := func(j *jsonJack, macro string) {
		message := j.Message
		if message == "note" {
			message = "-"
		}
		kind := map[string]string{"cv": "cv", "gate": "gt"}[j.Kind]
		jacks[kind+strconv.Itoa(j.Jack)] = fmt.Sprintf("%s %d.%d %s %d-%d", macro, j.Port, j.Channel, message, j.Connector, j.Place)
	}
	for i := range want.Voices {
		add(want.Voices[i].Pitch, "-")
		add(want.Voices[i].Gate, "-")
		require.Equal(t, 2.0, want.Voices[i].VoltsAt["60"])
	}
	require.Contains(t, text, "C4 (60)\nis 2.000 V on every pitch jack.")
	for i := range want.Lanes {
		add(&want.Lanes[i], "-")
	}
	for i := range want.Macros {
		add(&want.Macros[i], want.Macros[i].Name)
	}
	var rows, sure []string
	cables := map[string]string{} // by the input that they lead to
	for _, c := range want.Cables {
		to, _, _ := strings.Cut(strings.ReplaceAll(c.To, ".", " "), " at ")
		jack, _, _ := strings.Cut(c.Number, "/")
		sure = append(sure, c.Number+" "+to+" "+jacks[jack])
		cables[c.To] = c.Number
	}
	for _, row := range regexp.MustCompile(`(?m)^((?:cv|gt)\d\S* .* \d+-\d+) `).FindAllStringSubmatch(text, -1) {
		rows = append(rows, row[1])
	}
	require.ElementsMatch(t, sure, rows)

	for i := range want.Voices { // the part that has a unison
		v := &want.Voices[i]
		require.Equal(t, 4, v.Unison.Of)
		row := fmt.Sprintf(`(?m)^%d %s \S.* %s %s pad \d of 4 %s `, v.Voice, v.Name, cables[v.Name+".pitch"], cables[v.Name+".gate"], regexp.QuoteMeta(fmt.Sprintf("%+.1f", *v.DetuneCents)))
		require.Regexp(t, row, text)
	}
	all := flags(m)
	for _, c := range want.Cables { // a flag at its jack, and one at the other end, each on both faces
		require.Equal(t, 2, strings.Count(all, "|"+c.Number+"|"), c.Number)
		require.Equal(t, 2, strings.Count(all, "from "+c.Number+"|")+strings.Count(all, "("+c.Number+")|"), c.Number)
	}
}

// flags lists the texts of the label pages.
func flags(m *contract.Sheet) string {
	all := "|"
	for _, p := range pagesOf(m, Options{}) {
		if strings.Contains(p.Title, "labels") {
			for _, x := range p.Texts() {
				all += x.Text + "|"
			}
		}
	}
	return all
}

// TestPaper holds pages, fonts and sizes to what poppler sees.
func TestPaper(t *testing.T) {
	for name, o := range map[string]Options{"A4": {}, "letter": {Letter: true}} {
		t.Run(name, func(t *testing.T) {
			m := demoSheet(t)
			file := pdfOf(t, m, o)
			pages := pagesOf(m, o)
			info := tool(t, file, "pdfinfo", "-l", strconv.Itoa(len(pages)), "FILE")
			require.Regexp(t, fmt.Sprintf(`Pages: +%d\n`, len(pages)), info)
			size := regexp.MustCompile(`Page +\d+ size: +(.*)`).FindAllStringSubmatch(info, -1)
			require.Len(t, size, len(pages))
			for i, s := range size {
				sides := map[string][2]string{
					"A4":     {"841.89 x 595.28 pts (A4)", "595.28 x 841.89 pts (A4)"}, // ISO 216
					"letter": {"792 x 612 pts (letter)", "612 x 792 pts (letter)"},     // 8.5 by 11 inches
				}[name]
				p := pages[i]
				lies := strings.HasSuffix(p.Title, doorTitle) || strings.HasSuffix(p.Title, say.LabelsTitle)
				require.Equal(t, sides[map[bool]int{true: 0, false: 1}[lies]], s[1], "the door and the flags lie, all else stands")
			}
			require.Contains(t, info, "Kiln Yard [ZBNYTHF8]")
			for _, line := range strings.Split(strings.TrimSpace(tool(t, file, "pdffonts", "FILE")), "\n")[2:] {
				require.Regexp(t, `dejavu.* yes +(yes|no) +yes `, line) // embedded, and with its letters
			}
		})
	}
}

// streams inflates what a PDF keeps compressed.
func streams(t testing.TB, file []byte) (all []string) {
	for _, part := range bytes.Split(file, []byte("stream\n"))[1:] {
		r, err := zlib.NewReader(bytes.NewReader(part))
		if err != nil {
			continue
		}
		data, err := io.ReadAll(r)
		if err == nil {
			all = append(all, string(data))
		}
	}
	require.NotEmpty(t, all)
	return all
}

func TestSameBytes(t *testing.T) {
	require.Equal(t, pdfOf(t, demoSheet(t), Options{}), pdfOf(t, demoSheet(t), Options{}))
}

// TestDate: a date is printed where one is given, and nothing that looks like
// one where none is.
func TestDate(t *testing.T) {
	date := regexp.MustCompile(`\d{4}-\d\d-\d\d`)
	for _, p := range pagesOf(demoSheet(t), Options{}) {
		for _, x := range p.Texts() {
			require.NotRegexp(t, date, x.Text)
		}
	}
	for _, p := range pagesOf(demoSheet(t), Options{Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)}) {
		require.True(t, has(p, "2026-11-25"))
	}
}

func has(p *draw.Picture, text string) bool {
	for _, x := range p.Texts() {
		if x.Text == text {
			return true
		}
	}
	return false
}

// inside: every text is within the frame of its page, and none lies over
// another.
func inside(t *testing.T, pages []*draw.Picture) {
	t.Helper()
	for n, p := range pages {
		texts := p.Texts()
		for i, a := range texts {
			if a.Left < frame || a.Right > p.Width-frame || a.Top < frame || a.Bottom > p.Height-frame {
				t.Fatalf("page %d: %q runs out of the frame: %+v", n+1, a.Text, a)
			}
			for _, b := range texts[:i] {
				if a.Left < b.Right-0.05 && b.Left < a.Right-0.05 && capitals(a) > b.Top+0.93*b.Size-0.73*b.Size && capitals(b) > a.Top+0.2*a.Size {
					t.Fatalf("page %d: %q lies over %q", n+1, a.Text, b.Text)
				}
			}
		}
	}
}

// capitals is the baseline of a text, below which only tails of letters reach.
func capitals(x draw.Placed) float64 { return x.Bottom - 0.24*x.Size }

func TestNothingOverflows(t *testing.T) {
	for _, o := range []Options{{}, {Letter: true}, {Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)}} {
		inside(t, pagesOf(demoSheet(t), o))
		inside(t, pagesOf(largeSheet(t), o))
	}
}

// TestWithoutAnInterface: a rig may name none; its sheet has no page to plug in by.
func TestWithoutAnInterface(t *testing.T) {
	s := sheetOf(t, []byte("rig: T\nbanks: {K: {voices: 1}}\n"), plan.Overrides{})
	pages := pagesOf(s, Options{})
	inside(t, pages)
	for _, p := range pages {
		require.NotContains(t, p.Title, "Plug in")
	}
}

// TestSetUps: the sheet of a rig with set-ups has the way there and back, every
// line with a box to tick.
func TestSetUps(t *testing.T) {
	rig, err := profiles.Load("../../../../testdata/rigs/full.yaml")
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	m := contract.NewSheet(p)
	require.Len(t, m.Changes, 2)
	for _, o := range []Options{{}, {Letter: true}} {
		inside(t, pagesOf(m, o))
	}
	text := strings.Join(strings.Fields(tool(t, pdfOf(t, m, Options{}), "pdftotext", "-raw", "FILE", "-")), " ")
	for _, r := range m.Changes {
		require.Contains(t, text, "Repatch: "+r.From+" to "+r.To)
		for _, b := range say.Repatch(r, say.Paper).Blocks {
			list, _ := b.(doc.List)
			for _, item := range list.Items {
				for _, line := range append(item.Below, item.Text) {
					require.Contains(t, text, strings.Join(strings.Fields(line), " "))
				}
			}
		}
	}
}

// TestReadable: type that is read at the rack has capitals of 2 mm at least;
// DejaVu's are 0.729 em high (its OS/2 table). What is smaller are captions.
func TestReadable(t *testing.T) {
	require.GreaterOrEqual(t, small*0.729, 2.0)
	for _, p := range pagesOf(demoSheet(t), Options{}) {
		if strings.Contains(p.Title, "labels") {
			for _, x := range p.Texts() {
				if x.Top > top && x.Bottom < p.Height-frame-foot {
					require.GreaterOrEqual(t, x.Size, small, x.Text)
				}
			}
		}
	}
}

// renamed is a sheet whose interface, voices, banks and parts have other names,
// everywhere alike, as a rig would have them.
func renamed(t *testing.T, s *contract.Sheet, name string) *contract.Sheet {
	data, err := contract.JSON(s)
	require.NoError(t, err)
	voice := regexp.MustCompile(`\b[KL][1-4]\b`)
	other := regexp.MustCompile(`\b(main|pad|[NP])\b`)
	var rename func(v any) any
	rename = func(v any) any {
		switch v := v.(type) {
		case string:
			v = voice.ReplaceAllStringFunc(v, func(old string) string { return name + old })
			return other.ReplaceAllLiteralString(v, name)
		case []any:
			for i := range v {
				v[i] = rename(v[i])
			}
		case map[string]any:
			for key := range v {
				v[key] = rename(v[key])
			}
		}
		return v
	}
	var all any
	require.NoError(t, json.Unmarshal(data, &all))
	data, err = json.Marshal(rename(all))
	require.NoError(t, err)
	again := new(contract.Sheet)
	require.NoError(t, json.Unmarshal(data, again))
	return again
}

// TestRenamed: what the fuzzer renames is still one plan, in which a voice is
// found by its name.
func TestRenamed(t *testing.T) {
	m := renamed(t, demoSheet(t), "Z").Map
	require.Equal(t, []string{"ZK1", "Z", "ZK1.pitch", "Z cv 1", "Z"}, []string{m.Voices[0].Name, m.Voices[0].Pitch.Interface, m.Paths[0].Branches[0].Inputs[0], m.Cables[0].From, m.Unisons[0].Part})
	require.Equal(t, say.Socket{Jack: 1, Kind: "cv", Head: "ZK1", Signal: "pitch", Cable: "cv1", Colour: "brown"}, say.Panels(m)[0].Connectors[0].Sockets[0])
}

// FuzzSheet: whatever things are called, all of it stays on the page.
func FuzzSheet(f *testing.F) {
	for _, s := range []string{"K", "🎹🎹🎹", strings.Repeat("W", 300), "Печь печь", "\x00\xff\n", "e\u0301e\u0301", "a b c d e", "\u202eb"} {
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, s string, letter bool) {
		if len(s) > 1000 {
			return
		}
		sheet := renamed(t, demoSheet(t), s)
		sheet.Map.Rig = s
		sheet.Map.Findings = append(sheet.Map.Findings, contract.Finding{Code: s, Severity: "warning", Where: s, Text: s + " " + s, Hint: &s})
		o := Options{Letter: letter}
		inside(t, pagesOf(sheet, o))
		var b bytes.Buffer
		d := say.Sheet(sheet)
		var refused *draw.LettersError
		if err := Document(&b, d, Drawings(sheet.Map), o); err != nil { // no boxes
			require.ErrorAs(t, err, &refused)
			require.NotEmpty(t, draw.Lacking(s))
		}
		b.Reset()
		require.NoError(t, HTML(&b, d, Drawings(sheet.Map), o))
		b.Reset()
		require.NoError(t, SVG(&b, d, Drawings(sheet.Map), o))
		require.NoError(t, xml.Unmarshal(b.Bytes(), new(struct{})))
	})
}

// TestEveryFigureIsDrawn: the sheet names no figure that nobody draws, and none is
// drawn that it does not name.
func TestEveryFigureIsDrawn(t *testing.T) {
	for _, s := range []*contract.Sheet{demoSheet(t), largeSheet(t)} {
		figures, named := Drawings(s.Map), 0
		for _, b := range say.Sheet(s).Blocks {
			if x, ok := b.(doc.Figure); ok {
				require.NotNil(t, figures[x.Name], x.Name)
				named++
			}
		}
		require.Len(t, figures, named)
	}
}

// TestHTML is read by a parser that is not ours, and asks for nothing from
// outside.
func TestHTML(t *testing.T) {
	var b bytes.Buffer
	s := demoSheet(t)
	require.NoError(t, HTML(&b, say.Sheet(s), Drawings(s.Map), Options{}))
	d := xml.NewDecoder(bytes.NewReader(b.Bytes()))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	cells := 0
	for {
		token, err := d.Token()
		if token == nil {
			require.ErrorIs(t, err, io.EOF)
			break
		}
		if s, ok := token.(xml.StartElement); ok {
			require.NotContains(t, []string{"script", "link", "img", "iframe"}, s.Name.Local)
			for _, a := range s.Attr {
				require.NotContains(t, []string{"src", "href", "onclick"}, a.Name.Local)
			}
			if s.Name.Local == "td" {
				cells++
			}
		}
	}
	require.Greater(t, cells, 500)
	require.NotContains(t, b.String(), "url(")
}

func BenchmarkSheet(b *testing.B) {
	m := largeSheet(b)
	for b.Loop() {
		pdfOf(b, m, Options{})
	}
}

// Every drawing of a sheet in HTML says to whoever reads it out and to whoever sees it of which
// rig it is, by which plan and which command; that of a unison its figures too.
func TestDrawingsInHTMLAreIdentified(t *testing.T) {
	for _, s := range []*contract.Sheet{demoSheet(t), largeSheet(t)} {
		var b bytes.Buffer
		d := say.Sheet(s)
		require.NoError(t, HTML(&b, d, Drawings(s.Map), Options{Command: "choirloft map wall.yaml"}))
		drawn, says := strings.Split(b.String(), "<svg ")[1:], draw.Clean(s.Map.Rig)+", plan "+s.Map.Fingerprint
		require.Greater(t, len(drawn), 1)
		for _, svg := range drawn {
			require.Regexp(t, `<title>[^<]+</title>\n<desc>`+regexp.QuoteMeta(html.EscapeString(says))+`\. choirloft map wall\.yaml\.( Detune [^<]+)?</desc>`, svg)
			require.Equal(t, strings.Contains(svg, "<title>Unison of "), strings.Contains(svg, ". Detune in cents, from position 1: "))
			require.Regexp(t, `[> ]`+s.Map.Fingerprint+`</text>`, svg)
			require.Contains(t, svg, "choirloft map wall.yaml</text>")
		}
	}
}
