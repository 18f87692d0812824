package study

import (
	"cmp"
	"context"
	"fmt"
	"runtime"
	"slices"
	"syscall"
	"testing"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// crowdedSong plays crowded intervals as notes of one part on keys 36-95, and
// returns the rules of a rack of n voices beside it.
func crowdedSong(notes, voices int) (Rules, Performance) {
	intervals := crowded(notes)
	var steps []midi.Step
	open := map[int]time.Duration{} // by key and channel: when it is free again
	for i, in := range intervals {
		at := i * 7
		for open[at%960] > in.Start {
			at++
		}
		at %= 960
		open[at] = in.End + 1
		channel, key := midi.Channel(at/60), midi.Key(36+at%60)
		steps = append(steps,
			midi.Step{At: in.Start, Kind: midi.StepNoteOn, Channel: channel, Key: key, Value: uint16(1 + i%127)},
			midi.Step{At: in.End, Kind: midi.StepNoteOff, Channel: channel, Key: key})
	}
	slices.SortStableFunc(steps, func(a, b midi.Step) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(b.Kind, a.Kind)) // offs first
	})
	cfg := alloc.Config{MinGate: 5 * ms, FreeDB: -60}
	for range voices {
		cfg.Voices = append(cfg.Voices, alloc.Voice{Bank: len(cfg.Voices) / 4,
			Envelope: alloc.Envelope{Attack: 5 * ms, Decay: 300 * ms, Sustain: 1, Release: 1500 * ms}})
	}
	cfg.Parts = []alloc.Part{{Name: "all", Sources: []alloc.Source{{AnyPort: true, Channels: 0xFFFF}},
		Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}, Banks: banksOf(cfg.Voices),
		Second: alloc.PickLongestIdle, BendRange: 2, Priority: 1}}
	end := steps[len(steps)-1].At
	return Rules{Config: cfg, Gap: 3 * ms, Lead: ms, Overlap: 80 * ms, LimitDB: -40}, Performance{Steps: steps, End: end}
}

// onlineRulesets are each online picking rule with protect-outer and each
// online stealing rule with longest-idle, tails known and unknown.
func onlineRulesets() []Ruleset {
	var all []Ruleset
	add := func(s Ruleset) {
		all = append(all, s)
		s.TailsUnknown = true
		all = append(all, s)
	}
	for _, name := range alloc.PickNames() {
		if rule, _ := alloc.ParsePick(name); rule != alloc.PickFixed {
			add(Ruleset{Pick: rule, Steal: alloc.StealProtectOuter})
		}
	}
	for _, name := range alloc.StealNames() {
		if rule, _ := alloc.ParseSteal(name); !rule.Foresight() && rule != alloc.StealProtectOuter {
			add(Ruleset{Pick: alloc.PickLongestIdle, Steal: rule})
		}
	}
	return all
}

// BenchmarkSweep plays a song of 10 000 notes on 1 … 64 voices by every online
// rule, tails known and unknown: as a sizing does, on one core and on two, and each run
// by itself from the steps of the song. What to hold: on two cores at least 1.7 times as
// fast as on one, and at most 0.7 of the processor time of each by itself, with
// GOGC=400 as the program has it.
func BenchmarkSweep(b *testing.B) {
	r, p := crowdedSong(10_000, 64)
	ref := NewReference(Pooled(r, 1), p)
	fed := *ref
	fed.script = nil
	sweep := func(b *testing.B, cores int, ref *Reference, o SizingOptions) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		defer spent(b)()
		s := &Sizing{Reference: ref, Rulesets: onlineRulesets()}
		for b.Loop() {
			s.Points = points(64, len(s.Rulesets))
			if err := s.play(context.Background(), r, p, o); err != nil {
				b.Fatal(err)
			}
		}
	}
	for _, cores := range []int{1, 2} {
		b.Run(fmt.Sprintf("cores=%d", cores), func(b *testing.B) { sweep(b, cores, ref, SizingOptions{}) })
	}
	b.Run("each-from-steps", func(b *testing.B) {
		sweep(b, 1, &fed, SizingOptions{Watch: func(int, int, *Reference, []Outcome) {}})
	})
}

// spent reports the processor time of an iteration, which other programs on the
// machine stretch less than the time that passes.
func spent(b *testing.B) func() {
	used := func() time.Duration {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			b.Fatal(err)
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	before := used()
	return func() { b.ReportMetric(float64((used()-before).Microseconds())/1000/float64(b.N), "cpu-ms/op") }
}

// BenchmarkAllBounds sets the bounds for every number of voices beside one
// replay: those without weights take at most 5 times as long, those by weight a
// second at most.
func BenchmarkAllBounds(b *testing.B) {
	r, p := crowdedSong(10_000, 64)
	ref := NewReference(r, p)
	gates := ref.Gates(everyPart)
	b.Run("bounds", func(b *testing.B) {
		for b.Loop() {
			Bounds(gates)
		}
	})
	b.Run("weighted", func(b *testing.B) {
		weights := ref.Weights()
		for b.Loop() {
			NewPlans(gates, weights).Lost(Peak(gates) - 1)
		}
	})
	b.Run("replay", func(b *testing.B) {
		for b.Loop() {
			if _, err := PlayReference(r, p, ref); err != nil {
				b.Fatal(err)
			}
		}
	})
}
