package midi

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Events that come one by one give the steps that a song of the same events
// has, a microsecond a tick.
func TestStepperAgainstSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		song := &Song{Tempo: NewTempoMap(Division{Ticks: 1000}, []TempoChange{{Micros: 1000}})}
		tick := Tick(0)
		for range rapid.IntRange(0, 60).Draw(t, "events") {
			tick += Tick(rapid.IntRange(1, 5000).Draw(t, "delta"))
			song.Events = append(song.Events, Event{Tick: tick, Port: Port(rapid.IntRange(0, 2).Draw(t, "port")),
				Status: uint8(rapid.IntRange(0x80, 0xEF).Draw(t, "status")),
				Data1:  uint8(rapid.SampledFrom([]int{0, 6, 38, 60, 64, 66, 96, 98, 99, 100, 101, 120, 121, 123, 127}).Draw(t, "data")),
				Data2:  uint8(rapid.IntRange(0, 127).Draw(t, "data"))})
		}
		var got []Step
		var s Stepper
		for _, e := range song.Events {
			if step, ok := s.Step(e, time.Duration(e.Tick)*time.Microsecond); ok {
				got = append(got, *step)
			}
		}
		want := song.Steps(Order{})
		require.Len(t, got, len(want))
		for i := range want {
			require.Equal(t, want[i], got[i])
		}
	})
}
