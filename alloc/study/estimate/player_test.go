package estimate

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
)

// The same seed plays the same, another one does not; a further layer changes
// nothing of when the first one plays.
func TestSeed(t *testing.T) {
	m := model(t, rig(4), "chords of 3-5, 2 a second, 0.5 s")
	one, _ := m.Play(1, time.Minute)
	again, _ := m.Play(1, time.Minute)
	other, _ := m.Play(2, time.Minute)
	require.Equal(t, one, again)
	require.NotEqual(t, one.Events, other.Events)
	two, _ := model(t, rig(4, withBass), "chords of 3-5, 2 a second, 0.5 s + bass=notes, 3 a second, 0.1 s").Play(1, time.Minute)
	require.Equal(t, onsets(one, 0), onsets(two, 0))
	require.NotEmpty(t, onsets(two, 1))
}

func withBass(r *study.Rules) { r.Config.Parts = append(r.Config.Parts, part("bass")) }

// onsets lists when notes begin on a channel.
func onsets(s *midi.Song, channel midi.Channel) (list []midi.Tick) {
	for _, e := range s.Events {
		if e.Kind() == midi.NoteOn && e.Channel() == channel {
			list = append(list, e.Tick)
		}
	}
	return list
}

// A tick is a microsecond.
func TestTicks(t *testing.T) {
	for _, n := range []midi.Tick{0, 1, 7, 1_000_000, 86_400_000_001} {
		require.Equal(t, time.Duration(n)*time.Microsecond, tempo.At(n))
	}
}

// By default no note strikes a key that sounds, each lasts as long as it should,
// and chords come as often as asked.
func TestNotesAsAsked(t *testing.T) {
	for _, text := range ways4Tests {
		m := model(t, rig(4), text)
		song, restruck := m.Play(5, 20*time.Minute)
		require.Zero(t, restruck, text)
		ref := study.NewReference(m.rules, study.Performance{Steps: song.Steps(midi.Order{}), End: song.Duration()})
		require.Equal(t, song.NoteOns, len(ref.Notes))
		require.InEpsilon(t, m.NotesIn(20*time.Minute-2*m.margin()), float64(song.NoteOns), 0.1)
		for i := range ref.Notes {
			n := &ref.Notes[i]
			require.False(t, n.Superseded || n.Stuck)
			found := false
			for j := range m.Lines {
				line := &m.Lines[j]
				lasts, up := n.End-n.Start, n.KeyUp-n.Start
				found = found || up == line.Key && lasts >= line.Key && lasts < line.Key+max(line.Layer.Pedal, 1) &&
					(line.Layer.Pedal == 0 || n.End%line.Layer.Pedal == 0)
			}
			require.True(t, found, "%s: %v", text, n)
			require.True(t, n.Velocity >= lowVelocity && n.Velocity <= highVelocity)
			if m.period == 0 { // with a pedal more may sound than are there
				require.True(t, n.Key >= lowKey && n.Key <= highKey)
			}
		}
		require.Zero(t, ref.Orphans)
		require.Zero(t, ref.Unmapped)
	}
}

// Even layers begin somewhere in their first period and keep to it.
func TestEvenKeepsTime(t *testing.T) {
	song, _ := model(t, rig(4), "notes, 3 a second, 0.1 s, even").Play(9, time.Minute)
	on := onsets(song, 0)
	require.Len(t, on, 180)
	require.Less(t, on[0], midi.Tick(333_334))
	for i := range on {
		require.InDelta(t, float64(i)*1e6/3, float64(on[i]-on[0]), 0.5)
	}
}

// A part of few keys must strike them while they sound, which is counted.
func TestFewKeys(t *testing.T) {
	m := model(t, rig(4, func(r *study.Rules) { r.Config.Parts[0].Keys = alloc.KeyRange{Low: 10, High: 12} }), "chords of 3, 2 a second, 0.8 s")
	song, restruck := m.Play(1, time.Minute)
	require.Positive(t, restruck)
	for _, e := range song.Events {
		require.True(t, e.Data1 >= 10 && e.Data1 <= 12)
	}
	require.Equal(t, restruck, estimateRestruck(t, m))
}

// estimateRestruck is the count that a run of the same length gives.
func estimateRestruck(t *testing.T, m *Model) int {
	return estimate(t, m, 1, time.Minute-2*m.margin()).Restruck
}
