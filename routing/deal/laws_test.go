package deal

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/timing"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// roundTrip deals a song, reads the file back with the same plan, and holds
// what is played then to what was dealt: the same gates on the same voices, the
// same pitches to half a step of the bend, and nothing lost.
func roundTrip(t rapid.TB, p *plan.Plan, song *midi.Song, o Options) *Deal {
	d, err := New(p, song, o)
	require.NoError(t, err)
	data, err := d.Files(Whole)[0].Score.Bytes()
	require.NoError(t, err)
	back, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	require.Zero(t, back.Warnings.Total)
	again, back, err := Read(p, back)
	require.NoError(t, err)
	replay, err := again.Replay(back)
	require.NoError(t, err)
	require.Zero(t, replay.Rig.Tally.Damaged())
	require.Zero(t, replay.Rig.Tally.Late)
	require.Zero(t, replay.Rig.Tally.Lost)
	require.Zero(t, replay.Rig.Tally.Unmapped+replay.Rig.Tally.Orphan+replay.Rig.Tally.Stuck+replay.Rig.Tally.Zero)
	_, lines, err := study.Export(again.Rules, again.Performance(back))
	require.NoError(t, err)
	notes := 0
	for _, l := range d.Passes[0].Lanes {
		requireLane(t, d, &l, lines[l.Voice])
		notes += len(l.Notes)
	}
	require.Equal(t, notes, back.NoteOns)
	return d
}

// requireLane compares a lane with the edges that its track was played as.
func requireLane(t rapid.TB, d *Deal, l *Lane, edges []timing.Edge) {
	var gates []Note
	var pitches []float64
	at := func(e timing.Edge) midi.Tick {
		tick := d.Tempo.Tick(e.At)
		require.Equal(t, e.At, d.Tempo.At(tick))
		return tick
	}
	pitch := 0.0
	for _, e := range edges {
		switch e.Kind {
		case timing.Pitch:
			pitch = e.Value
		case timing.GateHigh:
			gates = append(gates, Note{On: at(e), Key: midi.Key(e.Key), Velocity: e.Velocity})
			pitches = append(pitches, pitch)
		case timing.GateLow:
			gates[len(gates)-1].Off = at(e)
		}
	}
	require.Len(t, gates, len(l.Notes))
	for i, n := range l.Notes {
		n.ID = 0
		require.Equal(t, n, gates[i])
		low, high := reach(d, l)
		want := min(high, max(low, float64(n.Key)+bendAt(l, n.On)))
		require.InDelta(t, want, pitches[i], float64(d.BendRange)/16384+1e-9)
	}
}

// reach is the window of a voice, in which reading back clamps again: what a
// correction adds may lie outside.
func reach(d *Deal, l *Lane) (low, high float64) {
	w := d.Plan.Rules.Config.Voices[l.Voice].Window
	if !w.Bounded {
		return math.Inf(-1), math.Inf(1)
	}
	return w.Low, w.High
}

// bendAt is the bend of a lane at a tick.
func bendAt(l *Lane, at midi.Tick) (bend float64) {
	for _, m := range l.Bends {
		if m.Tick <= at {
			bend = m.Value
		}
	}
	return bend
}

// dealtLaws hold the lanes of a deal to what the engine decided: every attack
// on its tick or the one before it, with its key, velocity and pitch; gaps kept,
// and no note shorter than they ask.
func dealtLaws(t rapid.TB, d *Deal) {
	_, voices, err := study.Export(d.Plan.Rules, d.Plan.Performance(d.Song))
	require.NoError(t, err)
	for _, l := range d.Passes[0].Lanes {
		gates := decided(voices[l.Voice])
		gap := d.Plan.Rules.Gap
		tune := NewTuner(d.Plan, l.Voice, l.Home)
		for i, n := range l.Notes {
			for d.Tempo.Tick(gates[0].on) < n.On { // left out: there is no time for it
				require.GreaterOrEqual(t, gates[0].on+gap+tickAt(d, n.On), d.Tempo.At(d.Tempo.Tick(gates[1].on)))
				gates = gates[1:]
			}
			for len(gates) > 1 && d.Tempo.Tick(gates[1].on) == n.On {
				gates = gates[1:]
			}
			g := gates[0]
			gates = gates[1:]
			require.Equal(t, d.Tempo.Tick(g.on), n.On)
			require.Equal(t, g.pitch.Velocity, n.Velocity)
			if g.pitch.Missed == 0 && g.pitch.Key >= 0 {
				require.Equal(t, midi.Key(g.pitch.Key), n.Key)
			}
			if g.pitch.Glide == 0 {
				require.InDelta(t, tune.Sent(g.pitch.Value), float64(n.Key)+bendAt(&l, n.On), 1e-9)
			}
			require.Less(t, n.On, n.Off)
			if i+1 == len(l.Notes) {
				require.GreaterOrEqual(t, d.Tempo.At(n.Off), g.low)
				continue
			}
			next := d.Tempo.At(l.Notes[i+1].On)
			require.GreaterOrEqual(t, next-d.Tempo.At(n.Off), gap)
			if len(gates) > 0 && d.Tempo.Tick(gates[0].on) == l.Notes[i+1].On {
				require.True(t, d.Tempo.At(n.Off) >= g.low || next-d.Tempo.At(n.Off+1) < gap, "a note shorter than it has to be")
			}
		}
	}
}

// wanted is a gate as the engine decided it.
type wanted struct {
	on, low time.Duration
	pitch   timing.Edge // as it begins, with bends at the same instant
}

func decided(edges []timing.Edge) (gates []wanted) {
	var pitch timing.Edge
	for _, e := range edges {
		switch {
		case e.Kind == timing.Pitch && e.Starts:
			pitch = e
		case e.Kind == timing.Pitch && len(gates) > 0 && e.At == gates[len(gates)-1].on:
			gates[len(gates)-1].pitch.Value = e.Value
		case e.Kind == timing.GateHigh:
			gates = append(gates, wanted{on: e.At, pitch: pitch})
		case e.Kind == timing.GateLow:
			gates[len(gates)-1].low = e.At
		}
	}
	return gates
}

// tickAt is how long the tick before a tick is.
func tickAt(d *Deal, t midi.Tick) time.Duration { return d.Tempo.At(t) - d.Tempo.At(max(0, t-1)) }

// anyRig writes a rig of up to seven voices with rules of all sorts.
func anyRig(t *rapid.T) string {
	one := func(label string, of ...string) string { return rapid.SampledFrom(of).Draw(t, label) }
	number := func(label string, from, to int) int { return rapid.IntRange(from, to).Draw(t, label) }
	a, b := number("voices of K", 1, 4), number("voices of L", 1, 3)
	var s strings.Builder
	fmt.Fprintf(&s, "rig: Any\ninterfaces: {main: {profile: cv16-gate16, window: %s, tuning: %s}}\n",
		one("window", "0 V to 5 V", "0 V to 10 V", "0 V to 3 V"), one("tuning", "bend", "own"))
	fmt.Fprintf(&s, "banks: {K: {voices: %d}, L: {voices: %d}}\n", a, b)
	fmt.Fprintf(&s, "timing: {gap: %s, min_gate: %s, lead: %s}\n", one("gap", "0 ms", "3 ms", "7 ms"), one("gate", "0 ms", "5 ms", "12 ms"), one("lead", "0 ms", "1 ms", "9 ms"))
	fmt.Fprintf(&s, "corrections: {K1: {offset: %s mV, scale: %s}}\n", one("offset", "0", "-3.5", "12"), one("scale", "1", "1.004", "0.99"))
	s.WriteString("parts:\n")
	for i, part := range []string{"p", "q"} {
		fmt.Fprintf(&s, "  %s: {channel: %d, mode: %s, same_key: %s, steal: %s, pick: %s, out_of_range: %s, glide: %s, bend_tails: %s, transpose: %s",
			part, i+1, one("mode", "poly", "poly", "mono last", "mono low"), one("same key", alloc.SameKeyNames()...),
			one("steal", alloc.StealNames()...), one("pick", "longest-idle", "lowest", "strict-round-robin", "nearest"),
			one("range", "clamp", "fold", "drop"), one("glide", "0 ms", "0 ms", "30 ms"), one("tails", "true", "false"), one("transpose", "0", "-24", "12"))
		if n := number("unison", 1, min(3, a+b)); n > 1 {
			fmt.Fprintf(&s, ", unison: {voices: %d, when_short: %s, spread: 20 cents}", n, one("short", "blocks", "thin", "wait", "elastic"))
		}
		s.WriteString("}\n")
	}
	return s.String()
}

// anySong is a song of two channels with notes, pedals, bends and pressure, in
// a division that may be too coarse.
func anySong(t *rapid.T) *midi.Song {
	word := rapid.SampledFrom([]uint16{500, 96, 24, 7, 960, 0xE728, 0xE804, 0xE302}).Draw(t, "division")
	var track []byte
	for range rapid.IntRange(1, 60).Draw(t, "events") {
		channel := byte(rapid.IntRange(0, 1).Draw(t, "channel"))
		key := byte(rapid.IntRange(30, 42).Draw(t, "key") * 2)
		track = append(track, byte(rapid.SampledFrom([]int{0, 0, 1, 2, 5, 20, 60}).Draw(t, "delta")))
		switch rapid.IntRange(0, 9).Draw(t, "kind") {
		case 0, 1, 2, 3:
			track = append(track, 0x90|channel, key, byte(rapid.IntRange(1, 127).Draw(t, "velocity")))
		case 4, 5, 6:
			track = append(track, 0x80|channel, key, 0)
		case 7:
			track = append(track, 0xE0|channel, byte(rapid.IntRange(0, 127).Draw(t, "low")), byte(rapid.IntRange(0, 127).Draw(t, "high")))
		case 8:
			track = append(track, 0xB0|channel, 64, byte(rapid.SampledFrom([]int{0, 127}).Draw(t, "pedal")))
		case 9:
			track = append(track, 0xD0|channel, byte(rapid.IntRange(0, 127).Draw(t, "pressure")))
		}
	}
	return divided(t, word, track...)
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := planOf(t, anyRig(t), plan.Overrides{})
		dealtLaws(t, roundTrip(t, p, anySong(t), Options{}))
	})
}

// The demo on the demo rig plays what was decided, on the tick: the edges of
// the engine's export, which is what lanes show.
func TestDemoIsWhatWasDecided(t *testing.T) {
	for _, o := range []plan.Overrides{{}, plan.MustParse("--voices", "8", "--steal", "least-lost"), plan.Overrides{Unison: plan.Only("pad", 2)}} {
		p, song := demo(t, o)
		d := roundTrip(t, p, song, Options{})
		dealtLaws(t, d)
		replay, voices, err := study.Export(p.Rules, p.Performance(song))
		require.NoError(t, err)
		live, err := p.Replay(song)
		require.NoError(t, err)
		require.Equal(t, len(live.Outcomes), len(replay.Outcomes))
		for i := range live.Outcomes {
			require.Equal(t, live.Outcomes[i].Voice, replay.Outcomes[i].Voice, "live and export decide the same")
			require.Equal(t, live.Outcomes[i].Ending, replay.Outcomes[i].Ending)
		}
		tick := time.Duration(833_333 * 1000 / 500) // 72 bpm, 500 ticks a quarter
		for _, l := range d.Passes[0].Lanes {
			i := 0
			for _, e := range voices[l.Voice] {
				switch e.Kind {
				case timing.GateHigh:
					require.Equal(t, e.At, d.Tempo.At(l.Notes[i].On), "every attack on its tick")
				case timing.GateLow:
					require.InDelta(t, e.At, d.Tempo.At(l.Notes[i].Off), float64(tick), "every end on the next tick")
					i++
				}
			}
			require.Len(t, l.Notes, i)
		}
	}
}
