package midi

import (
	"crypto/sha256"
	"encoding/hex"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Every fixture against what stands in it; good ones have no warning.
func TestFixtures(t *testing.T) {
	for _, f := range loadFixtures(t, "*") {
		t.Run(f.name, func(t *testing.T) {
			song, err := Read(f.data, Options{})
			if strings.HasPrefix(f.name, "error-") {
				require.NotEmpty(t, f.fault, "the fixture names no error")
				require.EqualError(t, err, f.fault)
				var fault *FormatError
				require.ErrorAs(t, err, &fault)
				return
			}
			require.NoError(t, err)
			bad := strings.HasPrefix(f.name, "bad-")
			require.Equal(t, bad, len(f.warnings) > 0, "bad fixtures, and only they, have warnings")
			require.Equal(t, f.warnings, warningTexts(song.Warnings))
			require.Equal(t, len(f.warnings), song.Warnings.Total)
			require.Equal(t, f.events, eventTexts(song.Events))
		})
	}
}

// RP-001 prints both files byte by byte; the sums are those of the files.
func TestWorkedExample(t *testing.T) {
	for name, want := range map[string]struct {
		size   int
		sum    string
		format int
	}{
		"rp001-format0": {81, "9c512dc6fc73b8bef93a39c93142b7e828cfe51bf5340b84fe0fc87f0b8536ed", 0},
		"rp001-format1": {118, "83ba1f523c7d4591f9c190d76f5fc62e04c3eb0b4a87132e03067224061729c7", 1},
	} {
		t.Run(name, func(t *testing.T) {
			data := loadFixtures(t, name)[0].data
			require.Len(t, data, want.size)
			sum := sha256.Sum256(data)
			require.Equal(t, want.sum, hex.EncodeToString(sum[:]))
			song := mustRead(t, data)
			require.Equal(t, want.format, song.Format)
			require.Equal(t, 4, song.NoteOns)
			require.Equal(t, Tick(384), song.End)
			require.Equal(t, 2*time.Second, song.Duration())
			require.Equal(t, workedNotes, notesOf(song.Steps(Order{})))
		})
	}
}

// sounding is a note from its on to its off.
type sounding struct {
	channel    string
	key        Key
	velocity   uint16
	start, end time.Duration
}

// The notes RP-001 gives for the example, at 120 quarter notes a minute and 96
// ticks: ticks 0, 96, 192 and 384 are at 0, 500, 1000 and 2000 ms.
var workedNotes = []sounding{
	{"3", 48, 96, 0, 2000 * time.Millisecond},
	{"3", 60, 96, 0, 2000 * time.Millisecond},
	{"2", 67, 64, 500 * time.Millisecond, 2000 * time.Millisecond},
	{"1", 76, 32, 1000 * time.Millisecond, 2000 * time.Millisecond},
}

func notesOf(steps []Step) []sounding {
	var notes []sounding
	for _, s := range steps {
		switch s.Kind {
		case StepNoteOn:
			notes = append(notes, sounding{s.Channel.String(), s.Key, s.Value, s.At, -1})
		case StepNoteOff:
			for i := range notes {
				n := &notes[i]
				if n.channel == s.Channel.String() && n.key == s.Key && n.end < 0 {
					n.end = s.At
					break
				}
			}
		}
	}
	return notes
}

// RP-001, "Variable-length quantities": the table of examples.
func TestQuantity(t *testing.T) {
	for code, want := range map[string]int{
		"00": 0, "40": 0x40, "7F": 0x7F, "8100": 0x80, "C000": 0x2000, "FF7F": 0x3FFF,
		"818000": 0x4000, "C08000": 0x100000, "FFFF7F": 0x1FFFFF,
		"81808000": 0x200000, "C0808000": 0x8000000, "FFFFFF7F": 0xFFFFFFF,
	} {
		song := mustRead(t, file(t, 0, 96, code+"903C40"))
		require.Empty(t, song.Warnings.List, code)
		require.Equal(t, Tick(want), song.Events[0].Tick, code)
		// Once more on the fast path, which needs room behind the message.
		song = mustRead(t, file(t, 0, 96, "00904040"+code+"903C40"+strings.Repeat("003C00", 3)))
		require.Equal(t, Tick(want), song.Events[1].Tick, code)
	}
}

func TestTracks(t *testing.T) {
	song := mustRead(t, file(t, 1, 96,
		"00FF0305 50696E6FE9 00FF0901 41 00903C40 60803C40",                    // "Pino\xE9" is no UTF-8: Latin-1
		"00FF0304 C3A90007 00FF030178 00FF210102 30914340 60FF210103 00814340", // "é", NUL and BEL; a second name
		"00FF0300 00FF030162 8100FF0100",                                       // an empty name, then "b"
	))
	require.Empty(t, song.Warnings.List)
	require.Equal(t, []Track{
		{Name: "Pinoé", Device: "A", Offset: 14, Events: 2, End: 96},
		{Name: "é", Offset: 48, Events: 2, End: 144},
		{Name: "b", Offset: 91, Events: 0, End: 128},
	}, song.Tracks)
	require.Equal(t, []Event{
		{Tick: 0, Track: 0, Status: 0x90, Data1: 60, Data2: 64},
		{Tick: 48, Track: 1, Port: 2, Status: 0x91, Data1: 67, Data2: 64},
		{Tick: 96, Track: 0, Status: 0x80, Data1: 60, Data2: 64},
		{Tick: 144, Track: 1, Port: 3, Status: 0x81, Data1: 67, Data2: 64},
	}, song.Events)
	require.Equal(t, Tick(144), song.End)
}

// Events at one tick come by track, then in the order of the file, however
// many tracks there are (the merge is a heap: 1, 2, 3 and more differ).
func TestMergeOrder(t *testing.T) {
	for tracks := 1; tracks <= 9; tracks++ {
		var bodies []string
		for range tracks {
			bodies = append(bodies, "00903C40 003C00 309140400040 00 30803C40")
		}
		song := mustRead(t, file(t, 1, 96, bodies...))
		require.Len(t, song.Events, 5*tracks)
		for i, e := range song.Events {
			at := i % (2 * tracks)
			if i >= 4*tracks {
				at = (i - 4*tracks) * 2
			}
			require.Equal(t, uint16(at/2), e.Track, "tracks %d, event %d", tracks, i)
		}
	}
}

// With an SMPTE division a tempo has no effect: E728h is ticks of 1 ms.
func TestSMPTE(t *testing.T) {
	song := mustRead(t, loadFixtures(t, "good-smpte")[0].data)
	require.Equal(t, 96*time.Millisecond, song.Duration())
	require.Equal(t, Division{Ticks: 40, Rate: 25}, song.Tempo.Division())
	require.Equal(t, Division{Ticks: 40, Rate: 25}, song.Meter.Division())
	require.Equal(t, "1:3:16", song.Meter.Position(song.End).String())
	require.Equal(t, []TempoChange{{0, 1}}, song.Tempo.Changes(), "kept, though it has no effect")
}

func TestRMID(t *testing.T) {
	song := mustRead(t, loadFixtures(t, "good-rmid")[0].data)
	require.Equal(t, "RMID", song.Wrapper)
	require.Equal(t, 12+14+8+14, song.Tracks[0].Offset, "RIFF header, LIST chunk, data header, MThd chunk")
}

func TestFormat2(t *testing.T) {
	data := file(t, 2, 96, "00903C40 60803C40", "00FF5103 03D090 00914340 60814340")
	_, err := Read(data, Options{})
	var fault *Format2Error
	require.ErrorAs(t, err, &fault)
	require.Equal(t, 2, fault.Tracks)
	require.EqualError(t, err, "format 2 holds a song a track: choose one of the 2 tracks with --track")

	song, err := Read(data, Options{Track: 2})
	require.NoError(t, err)
	require.Equal(t, []string{"0 91 43 40", "96 81 43 40"}, eventTexts(song.Events))
	require.Equal(t, uint16(1), song.Events[0].Track)
	require.Equal(t, 250*time.Millisecond, song.Duration(), "96 ticks at 250000 µs and 96 a quarter note")

	song, err = Read(data, Options{Track: 1})
	require.NoError(t, err)
	require.Equal(t, 500*time.Millisecond, song.Duration(), "the tempo of track 2 is not that of track 1")

	for _, track := range []int{-1, 3} {
		_, err = Read(data, Options{Track: track})
		require.ErrorAs(t, err, &fault)
	}
	require.EqualError(t, &Format2Error{Tracks: 2, Track: 3}, "no track 3 in a file of format 2: choose one of 1–2 with --track")

	alone := mustRead(t, file(t, 2, 96, "00903C40"))
	require.Len(t, alone.Events, 1, "with one track there is nothing to choose")

	_, err = Read(file(t, 1, 96, "", ""), Options{Track: 1})
	require.EqualError(t, err, "byte 8: track 1 asked for, but a file of format 1 is one song over all its tracks")
}

// Every beginning of a good file is read or refused, and never gives events
// that the whole file has not.
func TestTruncatedEverywhere(t *testing.T) {
	for _, f := range loadFixtures(t, "rp001-*") {
		whole := eventTexts(mustRead(t, f.data).Events)
		for n := range f.data {
			song, err := Read(f.data[:n], Options{})
			if n < 22 { // header chunk, and the header of a track chunk
				require.Error(t, err, "%s cut at %d", f.name, n)
				continue
			}
			require.NoError(t, err, "%s cut at %d", f.name, n)
			require.NotEmpty(t, song.Warnings.List, "%s cut at %d", f.name, n)
			require.Subset(t, whole, eventTexts(song.Events), "%s cut at %d", f.name, n)
		}
	}
}

func TestWarningsAreCapped(t *testing.T) {
	var wrong strings.Builder
	for range 250 {
		wrong.WriteString("00F6")
	}
	song := mustRead(t, file(t, 1, 96, wrong.String(), wrong.String()))
	require.Equal(t, 500, song.Warnings.Total)
	require.Len(t, song.Warnings.List, 100)
	for i, w := range song.Warnings.List {
		require.Equal(t, 23+2*i, w.Offset, "the first by offset, though the tracks are read in turn")
	}
}

// More tracks than can be numbered, and lengths far beyond the file, cost no
// more than what is there.
func TestHostileSizes(t *testing.T) {
	track := "MTrk\x00\x00\x00\x04\x00\xFF\x2F\x00"
	song := mustRead(t, append(file(t, 1, 96), strings.Repeat(track, 70_000)...))
	require.Len(t, song.Tracks, 65536)
	require.Equal(t, []string{
		"byte 10: header counts 0 tracks, the file has 65536: read those",
		"byte 786446: more than 65536 tracks: the rest is ignored", // 14 + 65536·12
	}, warningTexts(song.Warnings))
}

// What a file costs is bounded by its size, whatever shape it has: at most 48
// bytes a byte of file, beyond a constant for small ones.
func TestCostIsBounded(t *testing.T) {
	many := func(text string) string { return strings.Repeat(text, 200_000/len(text)) }
	for name, data := range map[string][]byte{
		"claims":          append(file(t, 1, 96), "MTrk\xFF\xFF\xFF\xFF\x00\xF0\xFF\xFF\xFF\x7F"...),
		"empty tracks":    append(file(t, 1, 96), many("MTrk\x00\x00\x00\x00")...),
		"tracks cut off":  append(file(t, 1, 96), many("MTrk\xFF\xFF\xFF\xFF")...),
		"alien chunks":    append(file(t, 1, 96, ""), many("XXXX\x00\x00\x00\x00")...),
		"short events":    file(t, 0, 96, "00D000"+many("0001")),
		"system messages": file(t, 0, 96, many("00F6")),
		"running status":  file(t, 0, 96, "00D000"+many("00FF0100"+"0001")),
		"tempo changes":   file(t, 0, 96, many("01FF5103000001")),
		"time signatures": file(t, 0, 96, many("01FF580404021808")),
		"Latin-1 name":    file(t, 0, 96, "00FF03868000"+strings.Repeat("E9", 6<<14)),
	} {
		t.Run(name, func(t *testing.T) {
			require.Less(t, allocated(t, data), uint64(48*len(data)+16384))
		})
	}
}

// Events of usual files take three to five bytes, and at most 32 bytes of
// memory, in all that is ever allocated.
func TestMemoryOfUsualFiles(t *testing.T) {
	const events = 100_000
	for name, event := range map[string]string{
		"3 bytes, in running status": "00 3C40",
		"4 bytes, with a status":     "00 903C40",
		"5 bytes, with a long delta": "8100 903C40",
	} {
		t.Run(name, func(t *testing.T) {
			data := file(t, 0, 96, "00903C40"+strings.Repeat(event, events))
			require.LessOrEqual(t, allocated(t, data), uint64(32*events))
		})
	}
	require.LessOrEqual(t, allocated(t, bigFile(benchmarkNotes)), uint64(32*2*benchmarkNotes))
}

// allocated returns how many bytes are allocated to read a file.
func allocated(t *testing.T, data []byte) uint64 {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := Read(data, Options{})
	runtime.ReadMemStats(&after)
	require.NoError(t, err)
	return after.TotalAlloc - before.TotalAlloc
}
