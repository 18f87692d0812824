package study

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
)

// By hand, on two voices with a release of 1000 ms to −60 dB and an audible
// limit of −40 dB: a tail from full is heard for 667 ms, and leaves its voice free
// at −60 dB after 1000 ms.
func TestLanes(t *testing.T) {
	r, _ := crowdedSong(1, 2)
	for i := range r.Config.Voices {
		r.Config.Voices[i].Envelope = alloc.Envelope{Sustain: 1, Release: 1000 * ms}
	}
	r.Config.Parts[0].Steal = alloc.StealOldest
	p := Performance{Steps: stepsOf(t, "0 on 60, 50 down, 100 off 60, 200 on 62, 300 up, 500 off 62, 600 on 64, 700 on 65, 2000 off 64, 2000 off 65"), End: 2000 * ms}
	_, spans, err := PlayLanes(r, p, NewReference(r, p))
	require.NoError(t, err)
	fade := time.Duration(666666667)
	require.Equal(t, []Span{
		{0, 0, 0, 100 * ms, 300 * ms, 600 * ms, 600 * ms, true, 0, 0}, // the quieter tail goes first
		{0, 2, 600 * ms, 2000 * ms, 2000 * ms, 2000*ms + fade, 3000 * ms, false, 0, 0},
		{1, 1, 200 * ms, 500 * ms, 500 * ms, 700 * ms, 700 * ms, true, 0, 0},
		{1, 3, 700 * ms, 2000 * ms, 2000 * ms, 2000*ms + fade, 3000 * ms, false, 0, 0},
	}, spans)
}

// Legato, 62 takes the voice over from 60; when it goes up its gate goes on
// under 60, and that is still its own span.
func TestLanesOfLegato(t *testing.T) {
	r, _ := crowdedSong(1, 1)
	r.Config.Voices[0].Envelope = alloc.Envelope{Sustain: 1}
	r.Config.Parts[0].Mode = alloc.MonoLast
	p := Performance{Steps: stepsOf(t, "0 on 60, 100 on 62, 200 off 62, 300 off 60"), End: 300 * ms}
	_, spans, err := PlayLanes(r, p, NewReference(r, p))
	require.NoError(t, err)
	require.Equal(t, []Span{
		{0, 0, 0, 100 * ms, 100 * ms, 100 * ms, 100 * ms, true, 0, 0},
		{0, 1, 100 * ms, 300 * ms, 300 * ms, 300 * ms, 300 * ms, false, 0, 0},
	}, spans)
}

// Where the range of a voice ends at 62, a note that asks for 60 sounds 200 cents higher, and 64 is in range.
func TestLanesOfWrongPitch(t *testing.T) {
	r, _ := crowdedSong(1, 1)
	r.Config.Voices[0].Envelope, r.Config.Voices[0].Window = alloc.Envelope{Sustain: 1}, alloc.Window{Bounded: true, Low: 62, High: 80}
	p := Performance{Steps: stepsOf(t, "0 on 60, 100 off 60, 100 on 64, 200 off 64"), End: 300 * ms}
	_, spans, err := PlayLanes(r, p, NewReference(r, p))
	require.NoError(t, err)
	require.Equal(t, []Span{{0, 0, 0, 100 * ms, 100 * ms, 100 * ms, 100 * ms, false, 200, 62},
		{0, 1, 100 * ms, 200 * ms, 200 * ms, 200 * ms, 200 * ms, false, 0, 0}}, spans)
}

// On every voice the spans follow one another, their times are in order, and
// what is high adds up to what the replay says of the voice.
func TestLanesAgreeWithTheReplay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, p := crowdedSong(rapid.IntRange(1, 200).Draw(t, "notes"), rapid.IntRange(1, 12).Draw(t, "voices"))
		r.Config.Parts[0].Pick = alloc.PickRule(rapid.IntRange(0, 8).Draw(t, "pick"))
		r.Config.Parts[0].Steal = alloc.StealRule(rapid.IntRange(0, 10).Draw(t, "steal"))
		ref := NewReference(r, p)
		replay, spans, err := PlayLanes(r, p, ref)
		require.NoError(t, err)
		alone, err := PlayReference(r, p, ref)
		require.NoError(t, err)
		require.Equal(t, alone, replay)
		held, takes := make([]time.Duration, len(r.Config.Voices)), make([]int, len(r.Config.Voices))
		for i, s := range spans {
			require.True(t, s.Start <= s.Up && s.Up <= s.Low && s.Low <= s.End && s.End <= s.Silent, "%+v", s)
			if i > 0 && spans[i-1].Voice == s.Voice {
				require.LessOrEqual(t, spans[i-1].Silent, s.Start)
			}
			held[s.Voice] += s.Low - s.Start
			takes[s.Voice]++
		}
		for v, use := range replay.Voices {
			require.Equal(t, use.Held, held[v])
			require.Equal(t, use.Takes, takes[v])
		}
	})
}

// A voice that falls silent as the next note begins is not taken.
func TestLanesThatMeet(t *testing.T) {
	r, _ := crowdedSong(1, 1)
	r.Config.Voices[0].Envelope = alloc.Envelope{Sustain: 1}
	p := Performance{Steps: stepsOf(t, "0 on 60, 100 off 60, 100 on 62, 200 off 62"), End: 300 * ms}
	_, spans, err := PlayLanes(r, p, NewReference(r, p))
	require.NoError(t, err)
	require.Equal(t, []Span{{0, 0, 0, 100 * ms, 100 * ms, 100 * ms, 100 * ms, false, 0, 0},
		{0, 1, 100 * ms, 200 * ms, 200 * ms, 200 * ms, 200 * ms, false, 0, 0}}, spans)
}
