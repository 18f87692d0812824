package main

import (
	"bytes"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/smf"
)

// The figures of the demo are worked out here from the committed file, as
// gomidi v2.3.24 reads it, by code that shares nothing with the engine. All
// times are ticks of 1/600 s, which hold every time of the song exactly.

// span is the time of a note on voices without number: its gate, cut where its
// key is struck again.
type span struct {
	start, end int
	superseded bool // ended by the next strike of its key: no tail
	swallowed  bool // under first-off, ended by an off meant for the note before
}

// readNotes reads the notes of the committed file, offs paired with the oldest
// on of their channel and key.
func readNotes(t *testing.T) []note {
	data, err := os.ReadFile(committed)
	require.NoError(t, err)
	file, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	require.Equal(t, smf.MetricTicks(division), file.TimeFormat)
	var notes []note
	for _, track := range file.Tracks {
		open := map[[2]uint8][]int{}
		now := 0
		for _, e := range track {
			now += int(e.Delta)
			var channel, key, velocity uint8
			switch {
			case e.Message.GetNoteStart(&channel, &key, &velocity):
				id := [2]uint8{channel, key}
				open[id] = append(open[id], len(notes))
				notes = append(notes, note{channel, key, velocity, now, 0})
			case e.Message.GetNoteEnd(&channel, &key):
				id := [2]uint8{channel, key}
				require.NotEmpty(t, open[id], "off without an on at tick %d", now)
				first := &notes[open[id][0]]
				first.length = now - first.start
				open[id] = open[id][1:]
			}
		}
		for id, left := range open {
			require.Empty(t, left, "notes without an off on %v", id)
		}
	}
	return notes
}

// references cuts each note where its key is struck again, which is what
// retriggering under counted offs comes to when the file never has three notes
// of a key at once: the superseded note ends there, and the later note ends at
// the last off, its own.
func references(t *testing.T, notes []note) []span {
	notes = slices.Clone(notes)
	slices.SortStableFunc(notes, func(a, b note) int { return a.start - b.start })
	var spans []span
	last := map[[2]uint8]int{} // index in spans of the identity's latest note
	for i, n := range notes {
		s := span{start: n.start, end: n.start + n.length}
		id := [2]uint8{n.part, n.key}
		if p, ok := last[id]; ok && spans[p].end > s.start {
			before := &spans[p]
			require.Less(t, before.end, s.end, "note %d ends the last of its key", i)
			require.Less(t, before.start, s.start)
			before.end, before.superseded = s.start, true
			s.swallowed = true
		}
		last[id] = len(spans)
		spans = append(spans, s)
	}
	return spans
}

// withTails adds to each note that has one the time, in ticks, in which its
// tail falls to the audible limit.
func withTails(spans []span, tail int) []span {
	spans = slices.Clone(spans)
	for i := range spans {
		if !spans[i].superseded {
			spans[i].end += tail
		}
	}
	return spans
}

// depths counts, tick by tick, the spans that cover it.
func depths(spans []span) []int {
	last := 0
	for _, s := range spans {
		last = max(last, s.end)
	}
	depth := make([]int, last)
	for _, s := range spans {
		for at := s.start; at < s.end; at++ {
			depth[at]++
		}
	}
	return depth
}

func peak(spans []span) int { return slices.Max(depths(spans)) }

// unavoidable is in voice-ticks.
func unavoidable(spans []span, v int) int {
	loss := 0
	for _, d := range depths(spans) {
		loss += max(0, d-v)
	}
	return loss
}

// fewestDamaged gives up the latest end whenever more than v sound. The spans
// must be in the order of their starts.
func fewestDamaged(spans []span, v int) int {
	damaged := 0
	var ends []int
	for _, s := range spans {
		ends = slices.DeleteFunc(ends, func(end int) bool { return end <= s.start })
		ends = append(ends, s.end)
		slices.Sort(ends)
		if len(ends) > v {
			ends = ends[:v]
			damaged++
		}
	}
	return damaged
}

func TestFileHoldsTheNotesOfTheSong(t *testing.T) {
	want := slowKiln()
	slices.SortStableFunc(want, func(a, b note) int { return int(a.part) - int(b.part) })
	require.Equal(t, want, readNotes(t))
}

func TestNotesOfTheParts(t *testing.T) {
	count := [parts]int{}
	low, high := uint8(127), uint8(0)
	for _, n := range readNotes(t) {
		count[n.part]++
		low, high = min(low, n.key), max(high, n.key)
	}
	require.Equal(t, [parts]int{pad: 80, bass: 32, arp: 192, lead: 24}, count) // 328 in all
	require.Equal(t, []uint8{29, 95}, []uint8{low, high})                      // 67 keys
}

func TestDemand(t *testing.T) {
	spans := references(t, readNotes(t))
	require.Equal(t, 13, peak(spans), "held")
	for _, c := range []struct {
		t60  int // ms, to −60 dB
		want int
	}{
		{1200, 19}, {1800, 21}, {2400, 24}, {3600, 30},
	} {
		// From the full level a tail is at −40 dB after T60·40/60.
		tail := c.t60 * 40 / 60 * ticksPerSecond / 1000
		require.Equal(t, c.want, peak(withTails(spans, tail)), "T60 %d ms", c.t60)
	}
}

func TestBounds(t *testing.T) {
	spans := references(t, readNotes(t))
	for _, c := range []struct{ voices, fewest, unavoidable int }{
		{13, 0, 0},
		{12, 2, 72},   // 0.12 s · 600
		{10, 11, 612}, // 1.02 s
		{8, 24, 1620}, // 2.70 s
	} {
		require.Equal(t, c.fewest, fewestDamaged(spans, c.voices), "%d voices", c.voices)
		require.Equal(t, c.unavoidable, unavoidable(spans, c.voices), "%d voices", c.voices)
	}
}

func TestSwallowedCommonTones(t *testing.T) {
	swallowed := 0
	for _, s := range references(t, readNotes(t)) {
		if s.swallowed {
			require.Zero(t, s.start%bar, "a chord change")
			swallowed++
		}
	}
	// In each four bars 60 and 64 carry over twice and 69 once; nothing does
	// from the fourth chord back to the first.
	require.Equal(t, 20, swallowed)
}
