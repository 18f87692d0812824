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

// By hand: two voices on one pitch jack are one. Of three notes the second cuts the first off,
// 300 ms before its end, and the third begins in the tail of the second, 100 ms of 600 old and
// so at −10 dB. Together, all gates of both open; in turn the voices have every other one, the
// pitch moves for each note, and what the next note does to a tail is to move it.
func TestVoicesOnOnePitch(t *testing.T) {
	p := song(t, 1000, "60 100-600, 62 300-500, 64 600-700")
	for _, inTurn := range []bool{false, true} {
		rules := rig(2, 600*ms, nil)
		rules.Config.Voices[0].InTurn = inTurn
		rules.Config.Voices[1].State = alloc.Joined
		replay, voices, err := study.Export(rules, p)
		require.NoError(t, err)
		require.Equal(t, 1, replay.Rig.Voices)
		require.Equal(t, 2, replay.Rig.Demand.Held)
		require.Equal(t, []study.Ending{study.HeldCut, study.TailCutOtherKey, study.Complete},
			[]study.Ending{replay.Outcomes[0].Ending, replay.Outcomes[1].Ending, replay.Outcomes[2].Ending})
		require.Equal(t, 300*ms, replay.Outcomes[0].Lost)
		require.InDelta(t, -10, replay.Outcomes[1].LevelDB, 1e-9)
		require.Equal(t, []bool{inTurn, inTurn, false}, []bool{replay.Outcomes[0].Repitched, replay.Outcomes[1].Repitched, replay.Outcomes[2].Repitched})
		require.Equal(t, map[bool]int{true: 2}[inTurn], replay.Rig.Tally.Repitched)
		var lines [2][]string // gates as key and length; pitches by key alone
		for i, edges := range voices {
			var on time.Duration
			for _, e := range edges {
				require.Equal(t, i, e.Voice)
				switch {
				case e.Kind == timing.GateHigh:
					on = e.At
					lines[i] = append(lines[i], fmt.Sprint("gate ", e.Key))
				case e.Kind == timing.GateLow:
					lines[i] = append(lines[i], fmt.Sprint("low after ", e.At-on))
				case e.Kind == timing.Pitch:
					lines[i] = append(lines[i], fmt.Sprint(e.Key, " ", e.Starts))
				}
			}
		}
		if !inTurn {
			all := []string{"60 true", "gate 60", "low after 197ms", "62 true", "gate 62", "low after 200ms", "64 true", "gate 64", "low after 100ms"}
			require.Equal(t, [2][]string{all, all}, lines)
			continue
		}
		require.Equal(t, []string{"60 true", "gate 60", "low after 197ms", "62 false", "64 true", "gate 64", "low after 100ms"}, lines[0])
		require.Equal(t, []string{"60 false", "62 true", "gate 62", "low after 200ms", "64 false"}, lines[1])
	}
}

// By hand: three voices with one gate, which stays high from 100 to 700 ms. The first note is up
// at 300 and the second at 500, and both sound until the third is at 700: 400 and 200 ms too long.
// The fourth has the gate for itself, and takes the voice of the first, which is silent by then.
func TestVoicesWithOneGate(t *testing.T) {
	p := song(t, 1000, "60 100-300, 62 200-500, 64 400-700, 65 800-900")
	rules := rig(3, 0, nil)
	for i := range rules.Config.Voices {
		rules.Config.Voices[i].Gate = 1
	}
	replay, err := study.Play(rules, p)
	require.NoError(t, err)
	for i, want := range []time.Duration{400 * ms, 200 * ms, 0, 0} {
		require.Equal(t, want, replay.Outcomes[i].TooLong, i)
		require.Equal(t, study.Complete, replay.Outcomes[i].Ending)
	}
	require.Equal(t, 2, replay.Rig.Tally.TooLong)
	again := study.NewRehearsal(p, replay.Reference) // which a search listens to
	again.KeepTime()
	_, err = again.Score(rules)
	require.NoError(t, err)
	require.Equal(t, replay.Outcomes, again.Outcomes())
	// On two voices the third takes that of the first while it lingers: 100 ms too long.
	rules = rig(2, 0, nil)
	rules.Config.Voices[0].Gate, rules.Config.Voices[1].Gate = 1, 1
	replay, err = study.Play(rules, p)
	require.NoError(t, err)
	require.Equal(t, []time.Duration{100 * ms, 200 * ms}, []time.Duration{replay.Outcomes[0].TooLong, replay.Outcomes[1].TooLong})
	// Both voices of a unison linger alike: 400 ms, not twice that.
	rules = rig(4, 0, nil)
	for i := range rules.Config.Voices {
		rules.Config.Voices[i].Gate = 1
	}
	rules.Config.Parts[0].Unison = alloc.Unison{Voices: 2}
	replay, err = study.Play(rules, song(t, 1000, "60 100-300, 62 200-700"))
	require.NoError(t, err)
	require.Equal(t, 400*ms, replay.Outcomes[0].TooLong)

	// Without a gate in common nothing lingers.
	replay, err = study.Play(rig(2, 0, nil), song(t, 1000, "60 0-100, 62 50-200"))
	require.NoError(t, err)
	require.Zero(t, replay.Rig.Tally.TooLong)
	// A gate that opens in a tail is one more: 65 is up at 300 and lingers until 64 is at 350.
	rules = rig(2, 600*ms, nil)
	rules.Config.Voices[0].Gate, rules.Config.Voices[1].Gate = 1, 1
	replay, err = study.Play(rules, song(t, 1000, "60 0-100, 62 0-100, 64 200-350, 65 200-300"))
	require.NoError(t, err)
	require.Equal(t, 50*ms, replay.Outcomes[3].TooLong)

	rules = rig(4, 0, nil)
	for i := range rules.Config.Voices {
		rules.Config.Voices[i].Gate = 1
	}
	p = song(t, 1000, "60 100-300, 62 200-300, 64 700-800") // 62 is up a moment later than 60
	p.Steps[3].At++
	rules.Config.Parts[0].Unison = alloc.Unison{}
	replay, err = study.Play(rules, p)
	require.NoError(t, err)
	require.Equal(t, time.Duration(1), replay.Outcomes[0].TooLong)
	require.Equal(t, 1, replay.Rig.Tally.TooLong)
}

// By hand: of two voices in turn a bend moves both, and pressure after it goes to the one whose gate is high.
func TestPressureInTurn(t *testing.T) {
	rules := rig(2, 0, nil)
	rules.Config.Voices[0].InTurn = true
	rules.Config.Voices[1].State = alloc.Joined
	p := song(t, 1000, "60 100-500, bend 16383 200")
	p.Steps = slices.Insert(p.Steps, 2, midi.Step{At: 300 * ms, Kind: midi.StepChannelPressure, Value: 80})
	_, voices, err := study.Export(rules, p)
	require.NoError(t, err)
	var pressed []int
	for i, edges := range voices {
		for _, e := range edges {
			if e.Kind == timing.Pressure && e.At == 300*ms {
				pressed = append(pressed, i)
			}
		}
	}
	require.Equal(t, []int{0}, pressed)
}
