package listen

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/routing/plan"
)

// line is how strong a frequency is over 100 ms from a millisecond on, against a full
// sine of that frequency.
func line(x []float64, ms int, f float64) float64 {
	re, im := dot(x[ms*Rate/1000:(ms+100)*Rate/1000], f)
	return 4 * math.Hypot(re, im)
}

func keyHz(key float64) float64 { return 440 * math.Pow(2, (key-69)/12) }

const sineKind = "sound: {wave: sine, cutoff: 20 kHz}, attack: 5 ms, sustain: 100 %, release: 100 ms"

// A mono part that goes on to another key and back under one gate is one strand, and
// its wave goes on without a step.
func TestLegatoIsOneStrand(t *testing.T) {
	s := sketchOf(t, rigOf(t, 2, sineKind, ", mode: mono last"), songOf(t, []note{{key: 60, on: 0, off: 1500}, {key: 67, on: 500, off: 1000}}))
	require.Len(t, s.strands, 1)
	require.Len(t, s.strands[0].asked.gates, 1)
	x, _ := s.sounds(Played, 0, 3*Rate/2)
	y, _ := s.sounds(Asked, 0, 3*Rate/2)
	require.Equal(t, x, y)
	for ms, key := range map[int]float64{300: 60, 600: 67, 1200: 60} {
		require.InDelta(t, math.Sqrt2, line(x, ms, keyHz(key)), 0.1, "at %d ms", ms)
	}
	steepest := 0.0
	for i := range x[1:] {
		steepest = max(steepest, math.Abs(x[i+1]-x[i]))
	}
	require.Less(t, steepest, math.Sqrt2*1.02*2*math.Pi*keyHz(67)/Rate)
}

// A glide passes the middle of its way half way.
func TestGlide(t *testing.T) {
	s := sketchOf(t, rigOf(t, 2, sineKind, ", mode: mono last, glide: 1 s"), songOf(t, []note{{key: 60, on: 0, off: 4000}, {key: 72, on: 1000, off: 3000}}))
	p := s.strands[0].pitch
	for ms, want := range map[int]float64{500: 60, 1500: 66, 1750: 69, 2500: 72, 3500: 66} {
		got, _, _ := p.at(int64(ms)*Rate/1000, 0)
		require.InDelta(t, want, got, 1e-9, "at %d ms", ms)
	}
}

// A mono phrase whose voice is taken in the middle is asked for to its end: what is
// missing has the keys that follow.
func TestStolenPhrase(t *testing.T) {
	p := planOf(t, "rig: Bench\nvoices:\n  plain: {drift: 0 cents, "+sineKind+"}\nbanks:\n  K: {voices: 1, kind: plain}\nparts:\n  bass: {channel: 1, mode: mono last, priority: 2}\n  lead: {channel: 2, steal: oldest, priority: 1}\n", noOverrides)
	s := sketchOf(t, p, songOf(t, []note{{key: 48, on: 0, off: 2500}, {key: 55, on: 1500, off: 2000}, {channel: 1, key: 72, on: 1000, off: 1400}, {channel: 1, key: 76, on: 1400, off: 2600}}))
	asked, _ := s.sounds(Asked, 0, 5*Rate/2)
	played, _ := s.sounds(Played, 0, 5*Rate/2)
	for _, c := range []struct {
		ms            int
		key           float64
		asked, played float64
	}{{500, 48, math.Sqrt2, math.Sqrt2}, {1200, 48, math.Sqrt2, 0}, {1600, 55, math.Sqrt2, 0}, {2200, 48, math.Sqrt2, 0}, {1200, 72, 1.4, 1.4}} {
		require.InDelta(t, c.asked, line(asked, c.ms, keyHz(c.key)), 0.1, "asked, key %v at %d ms", c.key, c.ms)
		require.InDelta(t, c.played, line(played, c.ms, keyHz(c.key)), 0.1, "played, key %v at %d ms", c.key, c.ms)
	}
}

// A note out of range is asked for at its pitch and played at the end of the range; a
// fold is octaves off. What is missing is the one less the other.
func TestWrongPitch(t *testing.T) {
	for rule, plays := range map[string]float64{"clamp": 72, "fold": 67} {
		p := planOf(t, "rig: Bench\nvoices:\n  plain: {drift: 0 cents, "+sineKind+"}\ninterfaces: {main: {profile: cv32-gate32, window: 0 V to 2 V, zero_key: 48}}\nbanks:\n  K: {voices: 1, kind: plain}\nparts:\n  pad: {channel: 1, out_of_range: "+rule+"}\n", noOverrides)
		s := sketchOf(t, p, songOf(t, []note{{key: 79, on: 0, off: 1000}}))
		require.Len(t, s.strands, 2)
		asked, _ := s.sounds(Asked, 0, Rate)
		played, _ := s.sounds(Played, 0, Rate)
		require.InDelta(t, math.Sqrt2, line(asked, 500, keyHz(79)), 0.1)
		require.InDelta(t, 0, line(asked, 500, keyHz(plays)), 0.05)
		require.InDelta(t, math.Sqrt2, line(played, 500, keyHz(plays)), 0.1, rule)
		require.InDelta(t, 0, line(played, 500, keyHz(79)), 0.05, rule)
	}
}

// A dropped note has the voice that has been idle the longest, and a thinned one those
// that are idle after that.
func TestVoiceOfADroppedNote(t *testing.T) {
	p := rigOf(t, 3, sineKind, ", steal: none")
	s := sketchOf(t, p, songOf(t, []note{{key: 60, on: 0, off: 1000}, {key: 62, on: 100, off: 1000}, {key: 64, on: 200, off: 1000}, {key: 65, on: 300, off: 1000}}))
	require.Len(t, s.strands, 4)
	require.Nil(t, s.strands[3].played)
	require.Equal(t, 0, s.strands[3].voice, "all are in use: the lowest")
	b := &builder{Sketch: s, used: [][]use{{{0, 100}}, {{50, 60}}, {}}}
	require.Equal(t, 2, b.idle(0, 500, 0), "never used")
	require.Equal(t, 1, b.idle(0, 500, 1))
	require.Equal(t, 0, b.idle(0, 500, 2))
	require.Equal(t, 1, b.idle(0, 99, 1), "the first is in use")
}

// A key that is struck again ends its own tail in both versions, on whatever voice.
func TestStruckAgain(t *testing.T) {
	s := sketchOf(t, rigOf(t, 4, "sound: {wave: sine}, attack: 5 ms, sustain: 100 %, release: 2 s", ""), songOf(t, []note{{key: 60, on: 0, off: 500}, {key: 60, on: 800, off: 1000}}))
	require.Len(t, s.strands, 2)
	require.Equal(t, samples(800e6)+fade, s.strands[0].end)
	require.GreaterOrEqual(t, s.strands[0].agree, s.strands[0].end)
}

// Notes of an elastic unison sound as one voice each, as long as one of theirs does.
func TestElastic(t *testing.T) {
	s := sketchOf(t, rigOf(t, 4, sineKind, ", unison: {voices: 4, when_short: elastic, regrow: true}"),
		songOf(t, []note{{key: 60, on: 0, off: 2000}, {key: 67, on: 500, off: 1500}, {key: 72, on: 600, off: 1200}}))
	require.True(t, s.Elastic)
	require.Len(t, s.strands, 3)
	played, _ := s.sounds(Played, 0, 2*Rate)
	for _, ms := range []int{100, 800, 1800} {
		require.InDelta(t, math.Sqrt2, line(played, ms, keyHz(60)), 0.1, "at %d ms", ms)
	}
	require.InDelta(t, math.Sqrt2, line(played, 900, keyHz(72)), 0.15)
}

// Overrides are heard beside the song as it is given, on the rig as it is given: of a
// shorter release the rest of the tail is missing, of doubled octaves that are dropped
// the notes, and voices that a unison has more sound too much.
func TestOverridesAreHeard(t *testing.T) {
	rig := "rig: Bench\nvoices:\n  plain: {drift: 0 cents, " + sineKind + "}\nbanks:\n  K: {voices: 8, kind: plain}\nparts:\n  pad: {channel: 1}\n"
	song := songOf(t, []note{{key: 60, on: 0, off: 1000}, {key: 72, on: 0, off: 1000}, {key: 76, on: 0, off: 1000}})
	level := func(o plan.Overrides, v Version, ms int, key float64) float64 {
		x, _ := sketchOf(t, planOf(t, rig, o), song).sounds(v, 0, 3*Rate/2)
		return line(x, ms, keyHz(key))
	}
	for _, o := range []plan.Overrides{{}, plan.MustParse("--release", "2 s"), plan.MustParse("--doubles", "drop"), plan.MustParse("--trim", "80 ms")} {
		require.InDelta(t, math.Sqrt2, level(o, Asked, 500, 60), 0.1)
		require.InDelta(t, math.Sqrt2, level(o, Asked, 500, 72), 0.15)
		require.InDelta(t, level(plan.Overrides{}, Asked, 1010, 60), level(o, Asked, 1010, 60), 1e-9)
	}
	require.Greater(t, level(plan.MustParse("--release", "2 s"), Played, 1300, 60), 0.3)
	require.Less(t, level(plan.MustParse("--release", "2 s"), Asked, 1300, 60), 0.001)
	require.InDelta(t, 0, level(plan.MustParse("--doubles", "drop"), Played, 500, 72), 0.01)
	s := sketchOf(t, planOf(t, rig, plan.Overrides{Unison: plan.All(2)}), song)
	require.Len(t, s.strands, 6)
	for _, x := range s.strands {
		require.Equal(t, x.position == 0, x.asked != nil)
		require.NotNil(t, x.played)
	}
}

// The start of a phase is a function of note and position.
func TestPhases(t *testing.T) {
	seen := map[uint64]bool{}
	for n := range alloc.NoteID(200) {
		for position := range int16(8) {
			require.False(t, seen[startOf(n, position)])
			seen[startOf(n, position)] = true
		}
	}
}
