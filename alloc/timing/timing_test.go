package timing_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/timing"
)

const ms = time.Millisecond

var hardware = timing.Rules{Gap: 3 * ms, MinGate: 5 * ms, Lead: ms}

func take(at int, note int, pitch float64) alloc.Decision {
	return alloc.Decision{Kind: alloc.Take, At: time.Duration(at) * ms, Note: alloc.NoteID(note), Pitch: pitch}
}

func release(at int) alloc.Decision {
	return alloc.Decision{Kind: alloc.Release, At: time.Duration(at) * ms}
}

// edges runs decisions on one voice and tells gates and pitches in words.
func edges(p timing.Policy, ds ...alloc.Decision) (said []string, late time.Duration) {
	s := timing.New(hardware, p, 1, true)
	for _, d := range ds {
		late = max(late, s.Decide(&d))
	}
	for _, e := range s.Edges() {
		at := float64(e.At) / float64(ms)
		switch e.Kind {
		case timing.GateHigh:
			said = append(said, fmt.Sprintf("high %g", at))
		case timing.GateLow:
			said = append(said, fmt.Sprintf("low %g", at))
		case timing.Pitch:
			said = append(said, fmt.Sprintf("pitch %g @%g", e.Value, at))
		}
	}
	return said, late
}

// One voice, gap 3 ms, minimum gate 5 ms: A 0–1000, B 500–502 (released when its
// minimum gate is over, at 505).
func TestGap(t *testing.T) {
	ds := []alloc.Decision{take(0, 0, 60), take(500, 1, 62), release(505)}
	said, late := edges(timing.Live, ds...)
	require.Equal(t, []string{"pitch 60 @0", "high 0", "low 500", "pitch 62 @502", "high 503", "low 508"}, said)
	require.Equal(t, 3*ms, late)
	said, late = edges(timing.Export, ds...)
	require.Equal(t, []string{"pitch 60 @0", "high 0", "low 497", "pitch 62 @499", "high 500", "low 505"}, said)
	require.Zero(t, late)
}

func TestGapCostsOnlyWhatRemains(t *testing.T) {
	for _, c := range []struct{ off, on, late int }{
		{100, 100, 3}, {100, 101, 2}, {100, 102, 1}, {100, 103, 0}, {100, 200, 0},
	} {
		_, late := edges(timing.Live, take(0, 0, 60), release(c.off), take(c.on, 1, 62))
		require.Equal(t, time.Duration(c.late)*ms, late, "%+v", c)
	}
}

// A note cut at the instant of its start has no gate, live or in an export.
func TestCutAtOnce(t *testing.T) {
	ds := []alloc.Decision{take(0, 0, 60), take(0, 1, 62), release(100)}
	said, late := edges(timing.Live, ds...)
	require.Equal(t, []string{"pitch 60 @0", "pitch 62 @0", "high 0", "low 100"}, said)
	require.Zero(t, late)
	said, late = edges(timing.Export, ds...)
	require.Equal(t, []string{"pitch 60 @0", "pitch 62 @0", "high 0", "low 100"}, said)
	require.Zero(t, late)
}

// An export takes the gap from a note that ended by itself, too.
func TestExportGapFromThePast(t *testing.T) {
	said, _ := edges(timing.Export, take(10, 0, 60), release(100), take(101, 1, 62), release(200))
	require.Equal(t, []string{"pitch 60 @9", "high 10", "low 98", "pitch 62 @100", "high 101", "low 200"}, said)
}

// Of a note on two voices that loses one of them at once, the other voice
// keeps its gate: a stack that is thinned at its birth.
func TestCutAtOnceOnOneVoiceOnly(t *testing.T) {
	for _, p := range []timing.Policy{timing.Live, timing.Export} {
		s := timing.New(hardware, p, 2, true)
		stack := take(0, 0, 60)
		s.Decide(&stack)
		stack.Voice = 1
		s.Decide(&stack)
		thief := take(0, 1, 62)
		thief.Voice = 1
		s.Decide(&thief)
		for voice := range int32(2) {
			off := release(100)
			off.Voice = voice
			s.Decide(&off)
		}
		var gates []string
		for _, e := range s.Edges() {
			switch e.Kind {
			case timing.GateHigh:
				gates = append(gates, fmt.Sprintf("%d high %v by %d", e.Voice, e.At, e.Note))
			case timing.GateLow:
				gates = append(gates, fmt.Sprintf("%d low %v", e.Voice, e.At))
			}
		}
		require.Equal(t, []string{"0 high 0s by 0", "1 high 0s by 1", "0 low 100ms", "1 low 100ms"}, gates)
	}
}

// In an export the old note is over before the engine says so: what its bend
// does then must not move the CV that waits for the new note.
func TestExportLeavesTheOldNote(t *testing.T) {
	bend := alloc.Decision{Kind: alloc.Bend, At: 199500 * time.Microsecond, Pitch: 61}
	said, _ := edges(timing.Export, take(0, 0, 60), bend, take(200, 1, 70), release(300))
	require.Equal(t, []string{"pitch 60 @0", "high 0", "low 197", "pitch 70 @199", "high 200", "low 300"}, said)
	bend.At = 198 * ms
	said, _ = edges(timing.Export, take(0, 0, 60), bend, take(200, 1, 70), release(300))
	require.Equal(t, []string{"pitch 60 @0", "high 0", "low 197", "pitch 61 @198", "pitch 70 @199", "high 200", "low 300"}, said)
}
