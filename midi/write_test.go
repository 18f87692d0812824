package midi

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/smf"
	"pgregory.net/rapid"
)

// score is a score of one track of notes.
func score(d Division, events ...Event) *Score {
	return &Score{Tempo: NewTempoMap(d, nil), Meter: NewMeterMap(d, nil), Tracks: []ScoreTrack{{Events: events}}}
}

// The bytes of a small file, written out by RP-001: format 1, two tracks, 96
// ticks; name, text, 6/8 with 12 clocks a beat, 500 000 µs; then name, device
// (RP-019), port (common practice), two note-ons in running status, a bend and
// an end of track.
func TestScoreBytes(t *testing.T) {
	d := Division{Ticks: 96}
	s := Score{Name: "S", Texts: []string{"t"}, Tempo: NewTempoMap(d, []TempoChange{{0, 500_000}}), End: 200,
		Meter: NewMeterMap(d, []Signature{{0, 6, 8}}),
		Tracks: []ScoreTrack{{Name: "A1", Device: "main 2", Port: 1, Events: []Event{
			{Tick: 0, Status: 0x92, Data1: 48, Data2: 96}, {Tick: 96, Status: 0x92, Data1: 60, Data2: 96}, {Tick: 128 + 96, Status: 0xE2, Data1: 0x1F, Data2: 0x42},
			{Tick: 128 + 96, Status: 0xD2, Data1: 7},
		}}}}
	data, err := s.Bytes()
	require.NoError(t, err)
	require.Equal(t, []byte("MThd\x00\x00\x00\x06\x00\x01\x00\x02\x00\x60"+
		"MTrk\x00\x00\x00\x1e\x00\xff\x03\x01S\x00\xff\x01\x01t\x00\xff\x58\x04\x06\x03\x0c\x08\x00\xff\x51\x03\x07\xa1\x20\x81\x48\xff\x2f\x00"+
		"MTrk\x00\x00\x00\x28\x00\xff\x03\x02A1\x00\xff\x09\x06main 2\x00\xff\x21\x01\x01"+
		"\x00\x92\x30\x60\x60\x3c\x60\x81\x00\xe2\x1f\x42\x00\xd2\x07\x00\xff\x2f\x00"), data)
}

// Delta times at the borders of RP-001's quantities are read back, also above
// the largest quantity of four bytes, 0FFFFFFF.
func TestScoreDeltas(t *testing.T) {
	for _, at := range []Tick{0, 0x40, 0x7F, 0x80, 0x2000, 0x3FFF, 0x4000, 0x1FFFFF, 0x200000, 0xFFFFFFF, 0x10000000, 5 * 0x10000000} {
		s := score(Division{Ticks: 500}, Event{Tick: at, Status: 0x90, Data1: 60, Data2: 1})
		s.End = at + 1
		data, err := s.Bytes()
		require.NoError(t, err)
		song, err := Read(data, Options{})
		require.NoError(t, err)
		require.Zero(t, song.Warnings.Total)
		require.Equal(t, at, song.Events[0].Tick)
		require.Equal(t, at+1, song.End)
	}
}

// Divisions of SMPTE are written as RP-001 has them: 25 × 40 is E728.
func TestScoreDivisions(t *testing.T) {
	for word, d := range map[uint16]Division{0xE728: {40, 25}, 0xE250: {80, 30}, 0xE304: {4, 29}, 0xE801: {1, 24}, 0x7FFF: {Ticks: 32767}} {
		data, err := score(d).Bytes()
		require.NoError(t, err)
		require.Equal(t, []byte{byte(word >> 8), byte(word)}, data[12:14])
	}
}

// What is written is read again, by us and, without SMPTE, by gomidi v2.3.24.
func TestScoreIsReadAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Division{Ticks: rapid.IntRange(1, 32767).Draw(t, "ticks")}
		s := Score{Name: rapid.StringMatching(`[a-zA-Zäя ]{0,200}`).Draw(t, "name"), End: Tick(rapid.IntRange(0, 1e6).Draw(t, "end"))}
		var tempi []TempoChange
		var meters []Signature
		for range rapid.IntRange(0, 5).Draw(t, "changes") {
			tempi = append(tempi, TempoChange{Tick(rapid.IntRange(0, 1e5).Draw(t, "at")), rapid.IntRange(1, 0xFFFFFF).Draw(t, "micros")})
			meters = append(meters, Signature{Tick(rapid.IntRange(0, 1e5).Draw(t, "at")), rapid.IntRange(1, 255).Draw(t, "beats"), 1 << rapid.IntRange(0, 7).Draw(t, "unit")})
		}
		s.Tempo, s.Meter = NewTempoMap(d, tempi), NewMeterMap(d, meters)
		count := 0
		for range rapid.IntRange(0, 4).Draw(t, "tracks") {
			track := ScoreTrack{Name: "t", Device: "d", Port: Port(rapid.IntRange(0, 127).Draw(t, "port"))}
			now := Tick(0)
			for range rapid.IntRange(0, 30).Draw(t, "events") {
				now += Tick(rapid.SampledFrom([]int{0, 0, 1, 127, 128, 20000}).Draw(t, "delta"))
				e := Event{Tick: now, Track: uint16(len(s.Tracks) + 1), Port: track.Port, Status: uint8(rapid.IntRange(0x80, 0xEF).Draw(t, "status")),
					Data1: uint8(rapid.IntRange(0, 127).Draw(t, "one")), Data2: uint8(rapid.IntRange(0, 127).Draw(t, "two"))}
				if dataBytes(e.Status) == 1 {
					e.Data2 = 0
				}
				track.Events = append(track.Events, e)
				count++
			}
			s.Tracks = append(s.Tracks, track)
		}
		data, err := s.Bytes()
		require.NoError(t, err)
		song, err := Read(data, Options{})
		require.NoError(t, err)
		require.Zero(t, song.Warnings.Total, "%v", song.Warnings.List)
		require.Equal(t, s.Tempo.Changes(), song.Tempo.Changes())
		require.Equal(t, s.Meter.Signatures(), song.Meter.Signatures())
		require.Equal(t, s.Name, song.Tracks[0].Name)
		require.Len(t, song.Events, count)
		for i, track := range s.Tracks {
			var got []Event
			for _, e := range song.Events {
				if int(e.Track) == i+1 {
					got = append(got, e)
				}
			}
			require.Equal(t, track.Events, got)
		}
		file, err := smf.ReadFrom(bytes.NewReader(data))
		require.NoError(t, err)
		require.Len(t, file.Tracks, len(s.Tracks)+1)
	})
}
