package contract

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// withNotes plays a song and lists its notes.
func withNotes(t *testing.T, rigFile string, data []byte, o plan.Overrides) *Replay {
	t.Helper()
	rig, err := profiles.Load(demo + rigFile)
	require.NoError(t, err)
	return ledgerOf(t, rig, data, o)
}

func ledgerOf(t *testing.T, rig *profiles.Rig, data []byte, o plan.Overrides) *Replay {
	t.Helper()
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	replay, spans, err := p.Lanes(song)
	require.NoError(t, err)
	r := NewResult(p, "song.mid", song, replay)
	r.Notes = NewNotes(p, song, replay, spans)
	require.NoError(t, r.Listen(p, song, replay))
	return NewReplay(p, r)
}

// demoPlays are the demo on few voices, with unisons that are short of them, on a
// rig that has everything, and on one that plays channel 1 alone.
func demoPlays(t *testing.T) map[string]*Replay {
	t.Helper()
	data, err := os.ReadFile(demo + "slow-kiln.mid")
	require.NoError(t, err)
	return map[string]*Replay{
		"as it is": withNotes(t, "kiln-yard.yaml", data, plan.Overrides{}),
		"few":      withNotes(t, "kiln-yard.yaml", data, plan.Overrides{Voices: plan.All(5)}),
		"refusing": withNotes(t, "kiln-yard.yaml", data, plan.MustParse("--voices", "5", "--steal", "none")),
		"unison":   withNotes(t, "kiln-yard.yaml", data, plan.MustParse("--unison", "pad=4", "--unison", "lead=3")),
		"full":     withNotes(t, "rigs/full.yaml", data, plan.Overrides{}),
		"unplayed": onOneChannel(t, data),
	}
}

// onOneChannel plays a song on a rig whose only part hears channel 1 in the demo, and
// of it the keys from 60 on.
func onOneChannel(t *testing.T, data []byte) *Replay {
	t.Helper()
	rig, faults := profiles.Read("one.yaml", []byte("rig: One\nbanks: {K: {voices: 2}}\nparts: {p: {channel: 1, keys: 60-127}}\n"), nil)
	require.Empty(t, faults)
	return ledgerOf(t, rig, data, plan.Overrides{})
}

// TestUnplayedNotes, by hand: a part plays keys from 60 on of channel 1. Of four
// notes at half a second (120 bpm, 96 ticks a quarter note) key 59 and channel 2 are
// played by none, nor is key 50 on port 2 (RP-019) a beat later; each is a row, after what is played
// at its instant, and in no voice.
func TestUnplayedNotes(t *testing.T) {
	track := func(events ...byte) []byte {
		events = append(events, 0, 0xFF, 0x2F, 0)
		return append([]byte{'M', 'T', 'r', 'k', 0, 0, 0, byte(len(events))}, events...)
	}
	data := slices.Concat([]byte("MThd\x00\x00\x00\x06\x00\x01\x00\x02\x00\x60"),
		track(96, 0x90, 59, 64, 0, 0x91, 72, 64, 0, 0x90, 60, 64, 0, 0x90, 61, 64, 48, 0x80, 59, 0, 0, 0x81, 72, 0, 0, 0x80, 60, 0, 0, 0x80, 61, 0),
		track(0, 0xFF, 0x21, 1, 1, 0x81, 0x40, 0x90, 50, 64, 48, 0x80, 50, 0))
	r := onOneChannel(t, data)
	requireLedger(t, r)
	var told []string
	for _, n := range r.Notes {
		told = append(told, fmt.Sprint(n.Part, " ", n.Port, " ", n.Channel, " ", n.Key, " ", n.StartS, " ", n.StartBar, ".", n.StartBeat, " ", n.Ending))
	}
	require.Equal(t, []string{"p 1 1 60 0.5 1.2 complete", "p 1 1 61 0.5 1.2 complete", " 1 1 59 0.5 1.2 unplayed", " 1 2 72 0.5 1.2 unplayed",
		" 2 1 50 1 1.3 unplayed"}, told)
}

// TestNotes: what the list of notes says is enough to check what the rest says.
func TestNotes(t *testing.T) {
	plays := demoPlays(t)
	require.Positive(t, plays["unplayed"].Flags.Unmapped)
	for name, r := range plays {
		t.Run(name, func(t *testing.T) { requireLedger(t, r) })
	}
}

// TestNoteOfSeveralVoices, by hand: voice 1 falls at 3 s and is silent at 4, voice
// 3 is lost from 1 to 2 s and comes back until 2.5. The note lasts as long as
// its longest voice, and the others never sounded.
func TestNoteOfSeveralVoices(t *testing.T) {
	rig, err := profiles.Load(demo + "kiln-yard.yaml")
	require.NoError(t, err)
	data, err := os.ReadFile(demo + "slow-kiln.mid")
	require.NoError(t, err)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	replay, err := p.Replay(song)
	require.NoError(t, err)
	s := func(n float64) time.Duration { return time.Duration(n * float64(time.Second)) }
	notes := NewNotes(p, song, replay, []study.Span{
		{Voice: 0, Start: 0, Up: s(3), Low: s(3), End: s(3.5), Silent: s(4)},
		{Voice: 2, Start: 0, Up: s(1), Low: s(1), End: s(1), Silent: s(1)},
		{Voice: 2, Start: s(2), Up: s(2.25), Low: s(2.25), End: s(2.5), Silent: s(2.5)},
	})
	require.Equal(t, []int{1, 3}, notes[0].Voice)
	require.Equal(t, []NoteSpan{{1, 0, 4}, {3, 0, 1}, {3, 2, 2.5}}, notes[0].Spans)
	require.Equal(t, []float64{3, 4}, []float64{*notes[0].GateEndS, *notes[0].EndS})
	for _, n := range notes[1:] {
		require.Equal(t, []any{[]int{}, []NoteSpan{}}, []any{n.Voice, n.Spans})
		require.Nil(t, n.EndS)
	}
}

// requireLedger holds a list of notes to the laws of a ledger: the endings add
// up, no voice has two notes at once, and every loss is that of a note of its own.
func requireLedger(t *testing.T, r *Replay) {
	t.Helper()
	endings, byVoice, lost := map[string]int{}, map[int][]NoteSpan{}, map[string][]int{}
	for i := range r.Notes {
		n := &r.Notes[i]
		endings[n.Ending]++
		require.Equal(t, n.Ending == Unplayed, n.Part == "")
		require.True(t, n.Ending != Unplayed || len(n.Voice) == 0)
		require.True(t, i == 0 || r.Notes[i-1].StartS <= n.StartS)
		require.Equal(t, len(n.Spans) == 0, len(n.Voice) == 0)
		require.Equal(t, len(n.Spans) == 0, n.EndS == nil && n.GateEndS == nil)
		require.True(t, n.Ending != "dropped" || len(n.Voice) == 0)
		for _, s := range n.Spans {
			require.Contains(t, n.Voice, s.Voice)
			require.True(t, n.StartS <= s.FromS && s.FromS <= s.ToS && s.ToS <= *n.EndS && *n.GateEndS <= *n.EndS)
			byVoice[s.Voice] = append(byVoice[s.Voice], s)
		}
		for _, key := range lossKeys(n) {
			lost[key] = append(lost[key], i)
		}
	}
	for voice, spans := range byVoice {
		slices.SortFunc(spans, func(a, b NoteSpan) int { return cmp.Or(cmp.Compare(a.FromS, b.FromS), cmp.Compare(a.ToS, b.ToS)) })
		for i := 1; i < len(spans); i++ {
			require.LessOrEqual(t, spans[i-1].ToS, spans[i].FromS, "two notes at once on voice %d", voice)
		}
	}
	listed := 0
	for i, n := range r.Endings {
		require.Equal(t, n, endings[endingNames[i]], endingNames[i])
		if isLoss(study.Ending(i)) {
			listed += n
		}
	}
	require.Equal(t, r.Flags.Unmapped, endings[Unplayed])
	require.Len(t, r.Notes, r.Song.Notes+r.Flags.Unmapped)
	losses := slices.DeleteFunc(slices.Clone(r.Losses), func(l Loss) bool { return l.Flagged() })
	require.Len(t, losses, listed)
	taken := map[int]bool{}
	for i := range losses {
		l := &losses[i]
		voice := 0
		if l.Voice != nil {
			voice = *l.Voice
		}
		notes := lost[lossKey(l.Part, l.Key, l.Ending, voice, l.AtS)]
		free := slices.IndexFunc(notes, func(note int) bool { return !taken[note] })
		require.GreaterOrEqual(t, free, 0, "no note for %+v", l)
		taken[notes[free]] = true
	}
}

// lossKeys are where the loss of a note may stand, which is told of its first
// voice: where the song starts it, where its gate ends, or where one of its
// voices does.
func lossKeys(n *Note) (keys []string) {
	if len(n.Spans) == 0 {
		return []string{lossKey(n.Part, n.Key, n.Ending, 0, n.StartS)}
	}
	ends := []float64{n.StartS, *n.GateEndS}
	for _, s := range n.Spans {
		ends = append(ends, s.ToS)
	}
	slices.Sort(ends)
	for _, voice := range n.Voice {
		for _, at := range slices.Compact(ends) {
			keys = append(keys, lossKey(n.Part, n.Key, n.Ending, voice, at))
		}
	}
	return keys
}

func lossKey(part string, key int, ending string, voice int, at float64) string {
	return strings.Join([]string{part, strconv.Itoa(key), ending, strconv.Itoa(voice), exact(at)}, "|")
}

// TestNotesInBars: the demo says 833 333 µs a quarter note in 4/4, and its ticks
// are 500 to the quarter, so a place in it is a sum. A time between two ticks
// stands at the earlier.
func TestNotesInBars(t *testing.T) {
	r := demoPlays(t)["few"]
	place := func(at float64, bar int, beat float64) {
		beats := float64(4*(bar-1)) + beat - 1
		require.InDelta(t, at/0.833333, beats+0.001, 0.00101, "%v s: %d.%v", at, bar, beat)
	}
	for i := range r.Notes {
		n := &r.Notes[i]
		place(n.StartS, n.StartBar, n.StartBeat)
		if n.EndS != nil {
			place(*n.GateEndS, *n.GateEndBar, *n.GateEndBeat)
			place(*n.EndS, *n.EndBar, *n.EndBeat)
		}
	}
}

// TestTables: the tables, read by the CSV reader of the standard library, are the
// JSON, read by its JSON reader.
func TestTables(t *testing.T) {
	for name, r := range demoPlays(t) {
		t.Run(name, func(t *testing.T) {
			m := decode(t, r)
			requireTable(t, NoteRecords(r.Fingerprint, &r.Result), r, m["notes"].([]any), nil)
			requireTable(t, LossRecords(r.Fingerprint, &r.Result), r, m["losses"].([]any), map[string]string{"bar": "bar_number"})
		})
	}
}

// requireTable holds a table to a list of the JSON; fields may have another name
// there.
func requireTable(t *testing.T, records [][]string, r *Replay, list []any, renamed map[string]string) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, CSV(&b, records))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, len(list)+1)
	for i, row := range rows[1:] {
		want := list[i].(map[string]any)
		want["file"], want["fingerprint"] = r.Song.File, r.Fingerprint
		for j, name := range rows[0] {
			field := name
			if to, ok := renamed[name]; ok {
				field = to
			}
			require.Contains(t, want, field)
			require.Equal(t, cellOf(want[field]), row[j], "%s of row %d", name, i+1)
		}
	}
}

// cellOf is how a value of the JSON stands in a table.
func cellOf(value any) string {
	switch v := value.(type) {
	case nil:
		return ""
	case string:
		return v
	case bool:
		return strconv.FormatBool(v)
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	case map[string]any:
		return cellOf(v["voice"]) + ":" + cellOf(v["from_s"]) + "-" + cellOf(v["to_s"])
	}
	var cells []string
	for _, v := range value.([]any) {
		cells = append(cells, cellOf(v))
	}
	return strings.Join(cells, " ")
}

// TestNotesWhereAskedFor: without a ledger the JSON has no notes, with an empty
// one an empty list.
func TestNotesWhereAskedFor(t *testing.T) {
	_, r := play(t, plan.Overrides{})
	require.NotContains(t, decode(t, r), "notes")
	r.Notes = []Note{}
	data, err := json.Marshal(r)
	require.NoError(t, err)
	require.Contains(t, string(data), `"notes":[]`)
}

// TestNotesOfCorpora holds real songs to the laws of a ledger, those of Debian's
// simutrans-data and openttd-openmsx.
func TestNotesOfCorpora(t *testing.T) {
	for _, path := range corpora.Songs(t) {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		t.Run(filepath.Base(path), func(t *testing.T) {
			t.Parallel()
			requireLedger(t, withNotes(t, "rigs/small-wall.yaml", data, plan.Overrides{Voices: plan.All(6)}))
			requireLedger(t, withNotes(t, "kiln-yard.yaml", data, plan.Overrides{Unison: plan.All(2)}))
		})
	}
}

// TestNotesSayWhatIsWrong: as many notes have a wrong pitch or begin late as the
// result counts; 24 of the demo's bass lie below the range, by whole cents.
func TestNotesSayWhatIsWrong(t *testing.T) {
	for name, r := range demoPlays(t) {
		wrong, late := 0, 0
		for i := range r.Notes {
			if r.Notes[i].WrongCents != 0 {
				wrong++
			}
			if r.Notes[i].LateS > 0 {
				late++
			}
		}
		require.Equal(t, r.WrongPitches(), wrong, name)
		require.Equal(t, r.Flags.Late, late, name)
	}
}
