package study_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/timing"
	"choirloft/midi"
)

// By hand: in an export the gap of 3 ms comes off the note before, live it delays the
// note after it. What is decided is the same.
func TestExport(t *testing.T) {
	p := song(t, 1000, "60 100-500, 62 300-600")
	rules := rig(1, 0, nil)
	exported, edges, err := study.Export(rules, p)
	require.NoError(t, err)
	var gates []string
	for _, e := range edges[0] {
		if e.Kind == timing.GateHigh || e.Kind == timing.GateLow {
			gates = append(gates, fmt.Sprint(e.Kind == timing.GateHigh, " ", e.At))
		}
	}
	require.Equal(t, []string{"true 100ms", "false 297ms", "true 300ms", "false 600ms"}, gates)
	live, err := study.Play(rules, p)
	require.NoError(t, err)
	require.Equal(t, told(live), told(exported))
	require.Equal(t, 3*ms, live.Outcomes[1].Late)
	require.Zero(t, exported.Outcomes[1].Late)
	rules.Config.FreeDB = 1
	_, _, err = study.Export(rules, p)
	require.ErrorContains(t, err, "free level 1 dB")
	_, err = study.Play(rules, p)
	require.ErrorContains(t, err, "free level 1 dB")
}

// One voice without release, by hand: the notes take it from 100 to 200 ms, from
// 300 to 450 and from 450 to 500, where the third takes the second's voice; it sounds as
// long. Jumps go up 12 semitones and down 24.
//
// A release of 600 ms falls to the free level, −60 dB, in as long: the first tail
// is cut after 100 ms, and the last one rings out, past the end of the song.
func TestVoiceUse(t *testing.T) {
	p := song(t, 1000, "60 100-200, 72 300-500, 48 450-500")
	for release, sounding := range map[time.Duration]time.Duration{0: 300 * ms, 600 * ms: 1000 * ms} {
		r, err := study.Play(rig(1, release, nil), p)
		require.NoError(t, err)
		use := r.Voices[0]
		require.Equal(t, 24, use.MostSemitones)
		require.Equal(t, 3, use.Takes)
		require.Equal(t, 300*ms, use.Held)
		require.Equal(t, sounding, use.Sounding, release)
	}
}

// A key that is struck again takes its voice again, a mono key that returns does not; what is stuck is held to the
// end, whether the song plays from what was taken down or from its steps.
func TestVoiceUseOfKeysStruckAgain(t *testing.T) {
	for _, c := range []struct {
		mode  alloc.Mode
		song  string
		takes int
	}{{alloc.Poly, "on 60 100, on 60 300", 2}, {alloc.MonoLast, "on 60 100, on 62 300, on 64 350, off 64 400, off 62 500", 3}} {
		rules := rig(1, 0, func(r *study.Rules) { r.Config.Parts[0].Mode = c.mode })
		p := song(t, 1000, c.song)
		ref := study.NewReference(rules, p)
		for _, steps := range [][]midi.Step{p.Steps, slices.Clone(p.Steps)} {
			r, err := study.PlayReference(rules, study.Performance{Steps: steps, End: p.End}, ref)
			require.NoError(t, err)
			require.Equal(t, c.takes, r.Voices[0].Takes)
			require.Equal(t, 900*ms, r.Voices[0].Held)
		}
	}
}
