package link

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The status bytes, less the channel (MIDI 1.0, table I).
const (
	statusNoteOn   = 0x90
	statusPressure = 0xD0
	statusBend     = 0xE0
)

// chord is n note-ons at one instant, each on a channel of its own, with a
// pitch bend before each if asked.
func chord(at time.Duration, n int, bends bool) (list []Message) {
	for i := range n {
		if bends {
			list = append(list, Message{at, statusBend | byte(i), 3, NoMark})
		}
		list = append(list, Message{at, statusNoteOn | byte(i), 3, i})
	}
	return list
}

// IEC 63035:2017 §4.1: 320 µs a byte, 960 µs for three bytes, 640 µs in running
// status.
func TestBytesOnTheWire(t *testing.T) {
	on := func(channel byte) Message { return Message{0, statusNoteOn | channel, 3, 0} }
	for name, row := range map[string]struct {
		messages []Message
		want     []time.Duration
	}{
		"one message":                      {[]Message{on(0)}, []time.Duration{960 * time.Microsecond}},
		"running status":                   {[]Message{on(0), on(0)}, []time.Duration{960 * time.Microsecond, 1600 * time.Microsecond}},
		"separate channels cannot use it":  {[]Message{on(0), on(1)}, []time.Duration{960 * time.Microsecond, 1920 * time.Microsecond}},
		"nor another kind of message":      {[]Message{on(0), {0, statusBend, 3, NoMark}}, []time.Duration{960 * time.Microsecond, 1920 * time.Microsecond}},
		"a pressure has two bytes":         {[]Message{{0, statusPressure, 2, NoMark}}, []time.Duration{640 * time.Microsecond}},
		"an idle link sends at once":       {[]Message{on(0), {time.Second, statusNoteOn | 1, 3, 1}}, []time.Duration{960 * time.Microsecond, time.Second + 960*time.Microsecond}},
		"a busy one when it is free again": {[]Message{on(0), {500 * time.Microsecond, statusNoteOn | 1, 3, 1}}, []time.Duration{960 * time.Microsecond, 1920 * time.Microsecond}},
	} {
		t.Run(name, func(t *testing.T) {
			_, arrivals := Queue(row.messages)
			require.Equal(t, row.want, arrivals)
		})
	}
}

// 0.96 ms a message: an n-note chord spreads over n − 1 messages and its last note is n
// late, twice that with a bend each. For 8 notes 7·0.96 = 6.72 and 8·0.96 =
// 7.68 ms; with bends the first note comes after two messages, the last after
// sixteen: 14·0.96 = 13.44 and 16·0.96 = 15.36 ms.
func TestAChordIsSmeared(t *testing.T) {
	plain, _ := Queue(chord(time.Second, 8, false))
	require.Equal(t, Traffic{8, 24, 7680 * time.Microsecond, Late{7680 * time.Microsecond, 7}, Smear{6720 * time.Microsecond, 8, 0}}, plain)
	bent, _ := Queue(chord(time.Second, 8, true))
	require.Equal(t, Late{15360 * time.Microsecond, 7}, bent.Late)
	require.Equal(t, Smear{13440 * time.Microsecond, 8, 0}, bent.Smear)
	one, _ := Queue(chord(0, 1, false))
	require.Equal(t, Smear{Mark: NoMark}, one.Smear) // one note is no chord
	none, _ := Queue(nil)
	require.Equal(t, Traffic{Late: Late{Mark: NoMark}, Smear: Smear{Mark: NoMark}}, none)
}

// The queue against the wire itself, a byte at a time: at each tick of a byte
// the oldest byte that is there goes out. Times are whole bytes, so that both
// count in the same steps.
func TestQueueAgainstAWireOfBytes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []Message
		at := time.Duration(0)
		for i := range rapid.IntRange(1, 30).Draw(t, "messages") {
			at += time.Duration(rapid.IntRange(0, 8).Draw(t, "pause")) * ByteTime
			status := rapid.SampledFrom([]byte{0x90, 0x91, 0xE0, 0xD0}).Draw(t, "status")
			size := 3
			if status == 0xD0 {
				size = 2
			}
			list = append(list, Message{at, status, size, i})
		}
		traffic, arrivals := Queue(list)
		want, busy := wire(list)
		require.Equal(t, want, arrivals)
		require.Equal(t, busy, traffic.Busy)
		require.Equal(t, time.Duration(traffic.Bytes)*ByteTime, traffic.Busy)
	})
}

// wire sends bytes one by one.
func wire(list []Message) (arrivals []time.Duration, busy time.Duration) {
	arrivals = make([]time.Duration, len(list))
	var waiting []int // the message of each byte
	now, last, next := time.Duration(0), byte(0), 0
	for next < len(list) || len(waiting) > 0 {
		for ; next < len(list) && list[next].At <= now; next++ {
			bytes := list[next].Size
			if list[next].Status == last {
				bytes--
			}
			last = list[next].Status
			for range bytes {
				waiting = append(waiting, next)
			}
		}
		now += ByteTime
		if len(waiting) > 0 {
			arrivals[waiting[0]] = now
			waiting = waiting[1:]
			busy += ByteTime
		}
	}
	return arrivals, busy
}
