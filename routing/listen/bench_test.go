package listen

import (
	"context"
	"io"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/routing/plan"
)

// cpu reports how many times as fast as real time it went by the processor time that
// this process used, in which a busy machine shows less.
func cpu(b *testing.B, seconds float64, work func()) {
	used := func() time.Duration {
		var u syscall.Rusage
		require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	before := used()
	for b.Loop() {
		work()
	}
	b.ReportMetric(seconds*float64(b.N)/(used()-before).Seconds(), "times-real/op")
}

func both(b *testing.B, s *Sketch) {
	peaks, err := s.Peaks(context.Background(), none)
	require.NoError(b, err)
	take := whole(s, Played, peaks.Gain())
	require.NoError(b, s.Write(io.Discard, &take, none))
}

// Both passes of the demo on ten voices.
func BenchmarkDemo(b *testing.B) {
	s := demo(b, plan.Overrides{Voices: plan.All(10)})
	cpu(b, float64(s.Frames)/Rate, func() { both(b, s) })
}

// Both passes of 24 voices that sound all the time, each with its drift, a third of
// them in their tails.
func BenchmarkVoices24(b *testing.B) {
	p := planOf(b, "rig: Bench\nvoices:\n  plain: {attack: 20 ms, sustain: 60 %, decay: 2 s, release: 60 s}\nbanks:\n  K: {voices: 24, kind: plain}\nparts:\n  pad: {channel: 1}\n", noOverrides)
	var notes []note
	for i := range 24 {
		notes = append(notes, note{key: 36 + 2*i, on: 0, off: 20000 + i%3*40000})
	}
	s := sketchOf(b, p, songOf(b, notes))
	s.Frames = min(s.Frames, 60*Rate)
	cpu(b, float64(s.Frames)/Rate, func() { both(b, s) })
}

// Everything from the song to the first second of an excerpt, but for the peaks of
// the whole song.
func BenchmarkFirstSound(b *testing.B) {
	cpu(b, 6, func() {
		s := demo(b, plan.Overrides{Voices: plan.All(10)})
		take := Take{Part: everyPart, Gain: 1e-9, Sections: []Section{{From: 30 * Rate, To: 36 * Rate}}}
		require.NoError(b, s.Write(io.Discard, &take, none))
	})
}
