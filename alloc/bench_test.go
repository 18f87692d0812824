package alloc_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// benchSong returns a song whose density grows with the voices: on average
// three notes are down for every two voices, so that most note-ons steal. Keys
// and velocities are random, over as many channels as it takes for every note
// to be a key of its own.
func benchSong(voices, notes int) (steps []midi.Step, f alloc.Future, end time.Duration) {
	r := rand.New(rand.NewPCG(1, uint64(voices)))
	down := voices*3/2 + 2
	type open struct {
		key     midi.Key
		channel midi.Channel
	}
	var sounding []open
	channels := min(16, 1+down/48)
	busy := map[open]bool{}
	at := time.Duration(0)
	pace := 400 * time.Millisecond / time.Duration(down)
	startOf := map[open]int{}
	f.Ends = make([]time.Duration, notes)
	off := func(i int) {
		o := sounding[i]
		sounding[i] = sounding[len(sounding)-1]
		sounding = sounding[:len(sounding)-1]
		delete(busy, o)
		f.Ends[startOf[o]] = at
		steps = append(steps, midi.Step{At: at, Kind: midi.StepNoteOff, Key: o.key, Channel: o.channel})
	}
	for n := 0; n < notes; {
		at += time.Duration(1 + r.Int64N(2*int64(pace)))
		if len(sounding) >= down {
			off(r.IntN(len(sounding)))
			at += time.Duration(1 + r.Int64N(2*int64(pace)))
		}
		o := open{key: midi.Key(24 + r.IntN(84)), channel: midi.Channel(r.IntN(channels))}
		for down > 1000 && busy[o] || busy[o] {
			o = open{key: midi.Key(r.IntN(128)), channel: midi.Channel(r.IntN(channels))}
		}
		busy[o] = true
		startOf[o] = n
		sounding = append(sounding, o)
		steps = append(steps, midi.Step{At: at, Kind: midi.StepNoteOn, Key: o.key, Channel: o.channel, Value: uint16(1 + r.IntN(127))})
		n++
	}
	for len(sounding) > 0 {
		at += pace
		off(len(sounding) - 1)
	}
	for range notes {
		f.Worth = append(f.Worth, r.Int64N(200_000))
	}
	return steps, f, at
}

func benchConfig(voices int, pick alloc.PickRule, steal alloc.StealRule) alloc.Config {
	cfg := alloc.Config{MinGate: 5 * time.Millisecond, FreeDB: -60}
	banks := []int{}
	for v := range voices {
		cfg.Voices = append(cfg.Voices, alloc.Voice{Bank: v / 4, Envelope: alloc.Envelope{
			Attack: 5 * time.Millisecond, Decay: 300 * time.Millisecond, Sustain: 1, Release: 1500 * time.Millisecond}})
		if v%4 == 0 {
			banks = append(banks, v/4)
		}
	}
	fixed := map[midi.Key]int{}
	for k := range midi.Key(128) {
		fixed[k] = int(k) % voices
	}
	cfg.Parts = []alloc.Part{{Name: "all", Sources: []alloc.Source{{AnyPort: true, Channels: 0xFFFF}},
		Keys: alloc.KeyRange{High: 127}, Velocities: [2]uint8{1, 127}, Banks: banks, Pick: pick, Steal: steal,
		Second: alloc.PickLongestIdle, Fixed: fixed, BendRange: 2, Priority: 1}}
	return cfg
}

// BenchmarkReplay feeds the engine alone. Picking rules run with
// protect-outer, stealing rules with longest-idle.
func BenchmarkReplay(b *testing.B) {
	for _, name := range alloc.PickNames() {
		rule, _ := alloc.ParsePick(name)
		benchRule(b, name, rule, alloc.StealProtectOuter)
	}
	for _, name := range alloc.StealNames() {
		if rule, _ := alloc.ParseSteal(name); rule != alloc.StealProtectOuter {
			benchRule(b, name, alloc.PickLongestIdle, rule)
		}
	}
}

func benchRule(b *testing.B, name string, pick alloc.PickRule, steal alloc.StealRule) {
	for _, voices := range []int{8, 64, 1024} {
		b.Run(fmt.Sprintf("rule=%s/voices=%d", name, voices), func(b *testing.B) {
			steps, future, end := benchSong(voices, 50_000)
			cfg := benchConfig(voices, pick, steal)
			taken := 0
			emit := func(d *alloc.Decision) {
				if d.Kind == alloc.Take {
					taken++
				}
			}
			b.ReportAllocs()
			for b.Loop() {
				e, err := alloc.New(cfg)
				if err != nil {
					b.Fatal(err)
				}
				e.Foresee(future)
				for i := range steps {
					e.Feed(&steps[i], emit)
				}
				e.Finish(end, emit)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(steps)), "ns/event")
		})
	}
}
