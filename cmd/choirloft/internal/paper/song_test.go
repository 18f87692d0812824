package paper

import (
	"bytes"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/figures"
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
	return &Song{contract.NewReplay(p, result), l, figures.All(l), Options{}}
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

// TestLongSong: many bars are many pages, and no more than one cares to print.
func TestLongSong(t *testing.T) {
	s := demoSong(t, plan.Overrides{})
	s.Lanes.Seconds = 4000
	s.Lanes.Bars = nil
	for i := range 1000 {
		s.Lanes.Bars = append(s.Lanes.Bars, contract.BarLine{Bar: i + 1, AtS: 4 * float64(i)})
	}
	s.Window = figures.All(s.Lanes)
	f := s.flow(Options{})
	s.lanes(f)
	require.LessOrEqual(t, len(f.pages), mostPages)
	require.Greater(t, len(f.pages), mostPages/2-1)
	inside(t, f.finish())
}
