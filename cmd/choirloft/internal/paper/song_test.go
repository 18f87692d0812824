package paper

import (
	"bytes"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

func demoSong(t testing.TB, o plan.Overrides) *Song {
	t.Helper()
	rig, err := profiles.Load(demo)
	require.NoError(t, err)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	data, err := os.ReadFile(strings.Replace(demo, "kiln-yard.yaml", "slow-kiln.mid", 1))
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	replay, spans, err := p.Lanes(song)
	require.NoError(t, err)
	l, result := contract.NewLanes(p, song, replay, spans), contract.NewResult(p, "slow-kiln.mid", song, replay)
	require.NoError(t, result.Listen(p, song, replay))
	return &Song{contract.NewReplay(p, result), l, contract.Window{}, Options{}}
}

// TestReport reads a report back: the answer, the endings and every loss that it
// lists are there, and nothing lies over anything.
func TestReport(t *testing.T) {
	for _, o := range []Options{{}, {Letter: true}} {
		s := demoSong(t, plan.MustParse("--voices", "8", "--steal", "none"))
		var b bytes.Buffer
		d := say.Replay(s.Replay, say.Paper)
		require.NoError(t, Document(&b, d, s.Figures(), o))
		text := strings.Join(strings.Fields(tool(t, b.Bytes(), "pdftotext", "-layout", "FILE", "-")), " ")
		require.Contains(t, text, strconv.Itoa(s.Replay.Damaged)+" of 328 notes are dropped")
		for _, block := range d.Blocks {
			table, ok := block.(doc.Table)
			for i := 0; ok && i < len(table.Groups[0].Rows); i++ {
				require.Contains(t, text, strings.Join(table.Groups[0].Rows[i], " "))
			}
		}
		f := s.flow(o)
		s.lanes(f)
		inside(t, f.finish())
		b.Reset()
		require.NoError(t, HTML(&b, d, s.Figures(), o))
		require.Contains(t, b.String(), "<svg")
		require.NotContains(t, b.String(), "href")
	}
}

// longSong is the demo on so many voices, counted in bars half as long.
func longSong(t testing.TB, voices string) *Song {
	s := demoSong(t, plan.MustParse("--voices", voices))
	for i := range s.Lanes.Bars {
		s.Lanes.Bars[i].AtS /= 2
	}
	for i := 17; 1.666*float64(i) < s.Lanes.Seconds; i++ {
		s.Lanes.Bars = append(s.Lanes.Bars, contract.BarLine{Bar: i + 1, AtS: float64(i) * 4 * 60 / 72 / 2})
	}
	return s
}

// TestLongSong: of a long song there is a page of the whole, and one for each passage in which
// a loss is plain; the same in HTML. By itself it is one picture.
func TestLongSong(t *testing.T) {
	s := longSong(t, "10")
	scenes := s.scenes()
	require.Greater(t, len(scenes.List), 5)
	f := s.flow(Options{Command: "choirloft replay"})
	s.lanes(f)
	require.Len(t, f.pages, 1+len(scenes.List))
	inside(t, f.finish())
	d := say.Replay(s.Replay, say.Paper)
	var b bytes.Buffer
	require.NoError(t, HTML(&b, d, s.Figures(), Options{Command: "choirloft replay"}))
	require.Equal(t, 1+len(scenes.List), strings.Count(b.String(), `role="img"`))
	for _, x := range f.pages {
		texts := x.Texts()
		answer := slices.IndexFunc(texts, func(x draw.Placed) bool { return strings.Contains(x.Text, "ou would hear ") })
		require.Contains(t, b.String(), "<title>"+texts[answer].Text+"</title>", "the sentence above a page")
	}
	require.Equal(t, 1+len(scenes.List), strings.Count(b.String(), "plan "+s.Replay.Fingerprint+". choirloft replay. Parts"))
	require.Contains(t, svgText(s.Picture()), "Below are bars ")

	s.Window = s.Lanes.All() // chosen by its bars: all of them are drawn
	f = s.flow(Options{})
	s.lanes(f)
	require.Len(t, f.pages, 2, "33 bars, 16 to a page, the last with what is left")
	s = longSong(t, "16") // nothing is lost that one hears
	require.Empty(t, s.scenes().List)
	require.Contains(t, svgText(s.Picture()), "No loss is plain")
}

func svgText(p *draw.Picture) string { return string(draw.AppendSVG(nil, p)) }

// TestManyBars: where nobody listened, many bars are many pages, and no more than one cares to print.
func TestManyBars(t *testing.T) {
	s := demoSong(t, plan.Overrides{})
	s.Replay.Heard = nil
	s.Lanes.Seconds = 4000
	s.Lanes.Bars = nil
	for i := range 1000 {
		s.Lanes.Bars = append(s.Lanes.Bars, contract.BarLine{Bar: i + 1, AtS: 4 * float64(i)})
	}
	f := s.flow(Options{})
	s.lanes(f)
	require.LessOrEqual(t, len(f.pages), mostPages)
	require.Greater(t, len(f.pages), mostPages/2-1)
	inside(t, f.finish())
}
