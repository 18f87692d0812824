package hearing_test

import (
	"cmp"
	"context"
	"encoding/binary"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi"
)

// crowd is a song of so many notes, chords and a tune over bass: every 250 ms a few
// notes of some hundred ms begin, on up to some forty voices with their tails.
func crowd(notes, voices int) hearing.Song {
	var steps []midi.Step
	state := uint64(1)
	draw := func(n int) int {
		state = state*6364136223846793005 + 1442695040888963407 // Knuth's, as any would do
		return int(state>>33) % n
	}
	open := map[midi.Key]time.Duration{}
	for i, at := 0, time.Duration(0); i < notes; at += time.Duration(60+draw(190)) * ms {
		for range 1 + draw(4) {
			key, length := midi.Key(36+draw(60)), time.Duration(100+draw(900))*ms
			if open[key] >= at || i == notes {
				continue
			}
			i, open[key] = i+1, at+length
			steps = append(steps, midi.Step{At: at, Kind: midi.StepNoteOn, Key: key, Value: uint16(1 + draw(127))},
				midi.Step{At: at + length, Kind: midi.StepNoteOff, Key: key})
		}
	}
	slices.SortStableFunc(steps, func(a, b midi.Step) int { return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(b.Kind, a.Kind)) })
	end := time.Duration(0)
	if len(steps) > 0 {
		end = steps[len(steps)-1].At
	}
	cfg := alloc.Config{MinGate: 5 * ms, FreeDB: -60}
	for range voices {
		cfg.Voices = append(cfg.Voices, alloc.Voice{Envelope: alloc.Envelope{Attack: 5 * ms, Decay: 300 * ms, Sustain: 1, Release: 1500 * ms}})
	}
	cfg.Parts = []alloc.Part{{Name: "all", Sources: []alloc.Source{{AnyPort: true, Channels: 1}}, Keys: alloc.KeyRange{High: 127},
		Velocities: [2]uint8{1, 127}, Banks: []int{0}, Second: alloc.PickLongestIdle, BendRange: 2, Priority: 1}}
	return hearing.Song{Rules: study.Rules{Config: cfg, Gap: 3 * ms, Lead: ms, Overlap: 80 * ms, LimitDB: -40},
		Performance: study.Performance{Steps: steps, End: end},
		Model:       hearing.Model{LevelDB: 70, Ear: hearing.KeenEar, Sounds: []hearing.Sound{{Cutoff: 2000}}}}
}

// fileOf writes a MIDI file of whole milliseconds: 500 ticks a quarter of 500 000 µs,
// which is the tempo of a file that names none (RP-001).
func fileOf(p study.Performance) []byte {
	var track []byte
	last := time.Duration(0)
	for _, x := range p.Steps {
		delta := uint32((x.At - last) / ms)
		last = x.At
		if delta >= 1<<7 {
			track = append(track, byte(delta>>7)|0x80)
		}
		kind := byte(0x90)
		if x.Kind == midi.StepNoteOff {
			kind = 0x80
		}
		track = append(track, byte(delta&0x7F), kind, byte(x.Key), byte(x.Value))
	}
	track = append(track, 0, 0xFF, 0x2F, 0)
	head := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xF4MTrk")
	return append(binary.BigEndian.AppendUint32(head, uint32(len(track))), track...)
}

// BenchmarkHear sets what is heard of 10 000 notes beside a replay: reading, engine,
// demand and bounds. What to aim at: one song 2 replays, with each loss by itself 5, a
// curve of 64 numbers of voices 20; see DEVELOPERS.md for what there is.
func BenchmarkHear(b *testing.B) {
	const voices = 14 // on which 1 % of the notes are damaged, and 19 % of the song is heard to be
	s := crowd(10_000, voices)
	data := fileOf(s.Performance)
	replay, err := study.Play(s.Rules, s.Performance)
	require.NoError(b, err)
	b.Run("replay", func(b *testing.B) {
		defer spent(b)()
		for b.Loop() {
			song, err := midi.Read(data, midi.Options{})
			require.NoError(b, err)
			_, err = study.Play(s.Rules, study.Performance{Steps: song.Steps(midi.Order{}), End: song.Duration()})
			require.NoError(b, err)
		}
	})
	b.Run("song", func(b *testing.B) {
		defer spent(b)()
		for b.Loop() {
			a, err := hearing.NewAsked(s.Model, s.Rules.Config.Parts, replay.Reference)
			require.NoError(b, err)
			hearing.Whole(a, hearing.Of(s.Rules, replay))
		}
	})
	b.Run("each-loss", func(b *testing.B) {
		defer spent(b)()
		for b.Loop() {
			a, err := hearing.NewAsked(s.Model, s.Rules.Config.Parts, replay.Reference)
			require.NoError(b, err)
			hearing.Hear(a, hearing.Of(s.Rules, replay))
		}
	})
	b.Run("weights", func(b *testing.B) {
		defer spent(b)()
		for b.Loop() {
			a, err := hearing.NewAsked(s.Model, s.Rules.Config.Parts, replay.Reference)
			require.NoError(b, err)
			hearing.Weights(a)
		}
	})
	b.Run("curve", func(b *testing.B) {
		defer spent(b)()
		for b.Loop() {
			c, err := hearing.NewCurve(s)
			require.NoError(b, err)
			_, err = c.To(context.Background(), 64)
			require.NoError(b, err)
		}
	})
}

// processor is the processor time so far.
func processor(b *testing.B) time.Duration {
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// spent reports the processor time of an iteration, which other programs on the
// machine stretch less than the time that passes.
func spent(b *testing.B) func() {
	before := processor(b)
	return func() {
		b.ReportMetric(float64((processor(b)-before).Microseconds())/1000/float64(b.N), "cpu-ms/op")
	}
}

// BenchmarkCandidate is what a search for fixes does with each that it tries, on a song
// of 3 000 notes and 14 voices: by another rule, and with a release that is shorter,
// which asks for a reference of its own and is heard beside what the song asks for.
func BenchmarkCandidate(b *testing.B) {
	s := crowd(3000, 14)
	ref := study.NewReference(s.Rules, s.Performance)
	a, err := hearing.NewAsked(s.Model, s.Rules.Config.Parts, ref)
	require.NoError(b, err)
	for name, factor := range map[string]float64{"rule": 1, "release": 0.7} {
		r := s.Rules.Stretched(factor)
		r.Config.Parts = slices.Clone(r.Config.Parts)
		r.Config.Parts[0].Steal = alloc.StealOldest
		b.Run(name, func(b *testing.B) {
			defer spent(b)()
			for b.Loop() {
				ref := ref
				if factor != 1 {
					ref = study.NewReference(r, s.Performance)
				}
				h := study.NewRehearsal(s.Performance, ref)
				h.KeepTime()
				_, err := h.Score(r)
				require.NoError(b, err)
				as, err := a.Match(hearing.Run{Rules: r, Reference: ref, Outcomes: h.Outcomes(), Cuts: h.Cuts()})
				require.NoError(b, err)
				a.Forget()
				hearing.Whole(a, as)
			}
		})
	}
}
