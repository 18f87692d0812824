package listen

import (
	"context"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

func demo(t require.TestingT, o plan.Overrides) *Sketch {
	rig, err := profiles.Load(filepath.Join("..", "..", "testdata", "kiln-yard.yaml"))
	require.NoError(t, err)
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "slow-kiln.mid"))
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	return sketchOf(t, p, song)
}

// exact holds the three versions against each other, sample by sample.
func exact(t require.TestingT, asked, played, missing []int32) {
	require.Equal(t, len(asked), len(played))
	require.Equal(t, len(asked), len(missing))
	for i := range asked {
		if asked[i] != played[i]+missing[i] {
			require.Equal(t, asked[i], played[i]+missing[i], "sample %d", i)
		}
	}
}

// The demo on ten voices: asked is played and missing, one gain holds for all, and the
// loudest sample of the louder version is at −12 dB of full scale.
func TestVersionsOfTheDemo(t *testing.T) {
	s := demo(t, plan.Overrides{Voices: plan.All(10)})
	frames := corpora.Some[int64](8, 20) * Rate
	if !corpora.Asked() {
		s.Frames = frames + 2*Rate
	}
	gain := gainOf(t, s)
	asked, played := codes(t, s, whole(s, Asked, gain)), codes(t, s, whole(s, Played, gain))
	missing := codes(t, s, Take{Part: everyPart, Gain: gain, Sections: []Section{{Version: Missing, To: frames}}})
	end := 2 * (frames - edge)
	exact(t, asked[:end], played[:end], missing[:end])
	loudest := func(x []int32) float64 {
		most := 0.0
		for _, v := range x {
			most = max(most, math.Abs(float64(v)))
		}
		return db(most / (1 << 23))
	}
	require.InDelta(t, -12, max(loudest(asked), loudest(played)), 1e-5)
	require.Greater(t, loudest(missing), -40.0)
	peaks, err := s.Peaks(t.Context(), none)
	require.NoError(t, err)
	require.InDelta(t, -12, max(DB(peaks.Asked, gain), DB(peaks.Played, gain)), 1e-9)
}

// Without losses the versions are the same to the last bit, and nothing is missing.
func TestNothingMissing(t *testing.T) {
	s := sketchOf(t, rigOf(t, 6, "attack: 5 ms, sustain: 70 %, decay: 200 ms, release: 300 ms", ""), songOf(t, []note{
		{key: 60, on: 0, off: 500}, {key: 64, on: 100, off: 900}, {key: 67, on: 200, off: 300}, {key: 72, on: 1000, off: 1200}, {key: 76, on: 1300, off: 1301}}))
	gain := gainOf(t, s)
	require.Equal(t, codes(t, s, whole(s, Asked, gain)), codes(t, s, whole(s, Played, gain)))
	for _, x := range codes(t, s, whole(s, Missing, gain)) {
		require.Zero(t, x)
	}
}

// An excerpt is that stretch of the whole, to the last bit, but for its fades.
func TestExcerpts(t *testing.T) {
	s := demo(t, plan.Overrides{Voices: plan.All(10)})
	if !corpora.Asked() {
		s.Frames = 12 * Rate
	}
	all := codes(t, s, whole(s, Played, someGain))
	for _, from := range []int64{0, 12345, 9*Rate + 1, s.Frames - 2*Rate} {
		part := codes(t, s, Take{Part: everyPart, Gain: someGain, Sections: []Section{{From: from, To: from + 2*Rate}}})
		require.Len(t, part, 4*Rate)
		require.Equal(t, all[2*(from+edge):2*(from+2*Rate-edge)], part[2*edge:4*Rate-2*edge])
		if from > 0 {
			require.Zero(t, part[0])
		}
	}
	silent := Take{Part: everyPart, Gain: someGain, Sections: []Section{{From: 5 * Rate, To: 6 * Rate}, {To: Rate, Silence: true}, {Version: Asked, From: 5 * Rate, To: 6 * Rate}}}
	three := codes(t, s, silent)
	require.Len(t, three, 6*Rate)
	require.Equal(t, make([]int32, 2*Rate), three[2*Rate:4*Rate])
}

// Parts by themselves add up to the whole, but for rounding.
func TestParts(t *testing.T) {
	s := demo(t, plan.Overrides{Voices: plan.All(10)})
	section := []Section{{From: 10 * Rate, To: 12 * Rate}}
	all := codes(t, s, Take{Part: everyPart, Gain: someGain, Sections: section})
	sum := make([]int32, len(all))
	for part := range s.Plan.Rules.Config.Parts {
		for i, x := range codes(t, s, Take{Part: part, Gain: someGain, Sections: section}) {
			sum[i] += x
		}
	}
	for i := range all {
		require.InDelta(t, all[i], sum[i], 3)
	}
}

// A voice that is taken from a held note ends over 2 ms, and no step from sample to
// sample is larger than the wave's own and that fade's.
func TestCutWithoutClick(t *testing.T) {
	s := sketchOf(t, rigOf(t, 1, "sound: {wave: sine}, attack: 200 ms, sustain: 100 %, release: 1 s", ", steal: oldest"),
		songOf(t, []note{{key: 60, on: 0, off: 3000}, {key: 72, on: 1500, off: 3000}}))
	x, _ := s.sounds(Played, 0, s.Frames)
	asked, _ := s.sounds(Asked, 0, s.Frames)
	// Sines of 523 and of 262 Hz, of an amplitude of √2, move by 2π·f/48000 of that a
	// sample at most; the fade takes 1/96 of it a sample besides.
	most := math.Sqrt2 * (2*math.Pi*(523.25+261.63)/Rate + 1.0/fade)
	steepest := 0.0
	for i := range x[1:] {
		steepest = max(steepest, math.Abs(x[i+1]-x[i]), math.Abs(asked[i+1]-asked[i]))
	}
	require.Less(t, steepest, most)
	// 2 ms after the voice has moved on, the first note is gone: it was cut 2 ms after
	// the second began, for its gate must be low for 3 ms, and the CV leads by 1 ms.
	first := func(from int) float64 { // of 262 Hz, over 20 ms
		return math.Hypot(dot(x[from:from+960], 261.626))
	}
	require.Less(t, first(72000+300), 0.15*first(72000-960))
}

func dot(x []float64, f float64) (re, im float64) {
	for i, v := range x {
		s, c := math.Sincos(2 * math.Pi * f / Rate * float64(i))
		w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(len(x)))
		re, im = re+v*w*c/float64(len(x)), im+v*w*s/float64(len(x))
	}
	return re, im
}

// A song of ten minutes allocates no more than one of two.
func TestConstantMemory(t *testing.T) {
	needs := func(minutes int) uint64 {
		var notes []note
		for i := range minutes {
			notes = append(notes, note{key: 60, on: i * 60000, off: i*60000 + 200})
		}
		s := sketchOf(t, rigOf(t, 2, "attack: 1 ms, sustain: 100 %, release: 100 ms", ""), songOf(t, notes))
		gain := gainOf(t, s)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		take := whole(s, Played, gain)
		take.Sections[0].To = min(take.Sections[0].To, 10*60*Rate)
		require.NoError(t, s.Write(io.Discard, &take, none))
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	needs(1)
	few, many := needs(2), needs(10)
	require.Less(t, many, few+100_000) // bytes; 8 minutes are 138 MB of samples
}

// What ends the context ends the work, and an error of the writer comes back.
func TestEnds(t *testing.T) {
	s := demo(t, noOverrides)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := s.Peaks(ctx, none)
	require.ErrorIs(t, err, context.Canceled)
	take := whole(s, Played, 1)
	require.ErrorIs(t, s.Write(full{}, &take, none), io.ErrShortWrite)
	frames := int64(0)
	take.Sections[0].To = 5*Rate + 7
	require.NoError(t, s.Write(io.Discard, &take, func(n int64) { frames += n }))
	require.Equal(t, int64(5*Rate+7), frames)
}

type full struct{}

func (full) Write(data []byte) (int, error) { return 0, io.ErrShortWrite }

// Random songs on few voices, half a second of each: the versions add up exactly, the
// same song gives the same bytes, and where the replay says that nothing is lost or
// late, nothing is missing but what lies 60 dB down, where a voice counts as free.
func TestVersionsOfRandomSongs(t *testing.T) {
	losses, rounds := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if rounds++; rounds > corpora.Some(35, math.MaxInt) {
			return
		}
		p, song := anySong(t)
		s := sketchOf(t, p, song)
		from := rapid.Int64Range(0, max(0, min(2*Rate, s.Frames-Rate/2))).Draw(t, "from")
		excerpt := func(s *Sketch, v Version) []int32 {
			return codes(t, s, Take{Part: everyPart, Gain: someGain, Sections: []Section{{v, from, from + Rate/2, false}}})
		}
		asked, played, missing := excerpt(s, Asked), excerpt(s, Played), excerpt(s, Missing)
		exact(t, asked, played, missing)
		require.Equal(t, played, excerpt(sketchOf(t, p, song), Played))
		most := int32(0)
		for _, x := range missing {
			most = max(most, x, -x)
		}
		if float64(most) > peakCode/16/500 {
			losses++
			require.True(t, slices.ContainsFunc(s.Replay.Outcomes, func(o study.Outcome) bool {
				return o.Ending == study.Dropped || o.Ending >= study.BornCut || o.Late > 0 || o.Missed != 0 || o.Fewest < o.Voices
			}) || s.Replay.Rig.Tally.Thinned > 0)
		}
	})
	require.Greater(t, losses, 5)
}

// anySong draws a rig and a song of two parts in which much happens.
func anySong(t *rapid.T) (*plan.Plan, *midi.Song) {
	pick := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
	part := func(name string) string {
		return pick(name+" mode", "", ", mode: mono last, glide: 30 ms", ", mode: mono high, reattack: press and return", ", glide: 50 ms", ", bend_tails: true") +
			pick(name+" unison", "", "", ", unison: {voices: 2}", ", unison: {voices: 3, when_short: thin}", ", unison: {voices: 2, when_short: wait}", ", unison: {voices: 3, when_short: elastic, regrow: true}") +
			pick(name+" steal", "", ", steal: oldest", ", steal: none", ", steal: hard-none", ", steal: fewest-cuts") +
			pick(name+" keys", "", ", same_key: stack fifo", ", same_key: retrigger first-off") +
			pick(name+" range", "", ", out_of_range: fold", ", out_of_range: drop")
	}
	text := "rig: Bench\nvoices:\n  plain: {" + pick("envelope", "attack: 0 ms, release: 0 s", "attack: 5 ms, release: 300 ms", "attack: 60 ms, decay: 100 ms, sustain: 50 %, release: 1 s") +
		pick("wave", "", ", sound: {wave: square, cutoff: 8 kHz, track: 50 %}") + pick("inputs", "", ", inputs: [pitch, gate, velocity]") + "}\nbanks:\n  K: {voices: " +
		pick("voices", "3", "4", "6") + ", kind: plain}\n" + pick("interface", "", "interfaces: {main: {profile: cv32-gate32, window: 0 V to 2 V, zero_key: 48}}\n") +
		"parts:\n  pad: {channel: 1" + part("pad") + "}\n  arp: {channel: 2" + part("arp") + "}\n"
	var notes []note
	var more []event
	for range rapid.IntRange(1, 10).Draw(t, "notes") {
		on := rapid.IntRange(0, 60).Draw(t, "on") * 25
		notes = append(notes, note{channel: rapid.IntRange(0, 1).Draw(t, "channel"), key: rapid.IntRange(50, 62).Draw(t, "key") + 12*rapid.IntRange(0, 1).Draw(t, "octave"),
			velocity: rapid.IntRange(1, 127).Draw(t, "velocity"), on: on, off: on + rapid.IntRange(1, 40).Draw(t, "length")*20})
	}
	for range rapid.IntRange(0, 4).Draw(t, "moves") {
		status, at := byte(rapid.IntRange(0, 1).Draw(t, "channel")), rapid.IntRange(0, 100).Draw(t, "at")*20
		if rapid.Bool().Draw(t, "bend") {
			more = append(more, event{at, []byte{0xE0 | status, 0, byte(rapid.IntRange(0, 127).Draw(t, "value"))}})
		} else {
			more = append(more, event{at, []byte{0xB0 | status, 64, byte(rapid.IntRange(0, 1).Draw(t, "pedal") * 127)}})
		}
	}
	return planOf(t, text, noOverrides), songOf(t, notes, more...)
}
