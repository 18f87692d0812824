package link

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/midi"
)

// notesAt are so many notes, sent at one instant.
func notesAt(at time.Duration, n int) (list []Message) {
	for i := range n {
		list = append(list, Message{At: at, Status: 0x90 | byte(i%16), Size: 3, Mark: i})
	}
	return list
}

// 16 events of 4 bytes fill a packet of 64: the 17th goes a frame later, the 33rd two.
// A message just misses a frame, and waits for a whole one. At high speed a packet of
// 512 bytes holds 128, each 125 µs.
func TestFrames(t *testing.T) {
	arrivals := fullSpeed.Send(notesAt(5*time.Millisecond, 33))
	require.Equal(t, 6*time.Millisecond, arrivals[0])
	require.Equal(t, 6*time.Millisecond, arrivals[15])
	require.Equal(t, 7*time.Millisecond, arrivals[16])
	require.Equal(t, 8*time.Millisecond, arrivals[32])
	require.Equal(t, 5*time.Millisecond+125*time.Microsecond, highSpeed.Send(notesAt(5*time.Millisecond, 128))[127])
	require.Equal(t, 5*time.Millisecond+250*time.Microsecond, highSpeed.Send(notesAt(5*time.Millisecond, 129))[128])
	require.Empty(t, fullSpeed.Send(nil))

	// forty at once and one behind them, which goes with the last 8: a packet after the
	// 25th, in the third
	late := append(notesAt(0, 40), Message{At: 500 * time.Microsecond})
	require.Equal(t, 3*time.Millisecond, fullSpeed.Send(late)[40])
	require.Equal(t, 4500*time.Microsecond, fullSpeed.Send(append(late, Message{At: 3500 * time.Microsecond}))[41]) // by itself
}

// Whatever the moment at which the host asks, no message is later than that; one that
// meets an empty cable is late by half a frame in the mean. Tried are 100 moments over
// bursts of any size and distance, drawn.
func TestFramesAreTheWorst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []Message
		at := time.Duration(0)
		for range rapid.IntRange(1, 6).Draw(t, "bursts") {
			list = append(list, notesAt(at, rapid.IntRange(1, 40).Draw(t, "notes"))...)
			at += time.Duration(rapid.IntRange(0, 3000).Draw(t, "apart")) * time.Microsecond
		}
		list = append(list, Message{At: at + time.Second})
		worst, mean := fullSpeed.Send(list), time.Duration(0)
		for phase := time.Duration(0); phase < time.Millisecond; phase += 10 * time.Microsecond {
			waiting, sent := 0, 0
			for frame := phase; sent < len(list); frame += time.Millisecond {
				for waiting < len(list) && list[waiting].At <= frame {
					waiting++
				}
				for n := 0; n < 16 && sent < waiting; n++ {
					if frame > worst[sent] {
						t.Fatalf("message %d goes at %v, at most at %v", sent, frame, worst[sent])
					}
					if sent == len(list)-1 {
						mean += (frame - list[sent].At) / 100
					}
					sent++
				}
			}
		}
		require.InDelta(t, 0.5, float64(mean)/float64(time.Millisecond), 0.02)
	})
}

// All ports of a cable share its packets: 20 voices play on two ports, and the chord of
// 20 takes two packets; by 5-pin each port goes by itself. An audio link is not late.
func TestPortsShareTheCable(t *testing.T) {
	rig := func(link string) *Load {
		var events []midi.Event
		for key := range uint8(20) {
			events = append(events, on(60+key, 1000)...)
		}
		for key := range uint8(20) {
			events = append(events, off(60+key, 2000)...)
		}
		return loadOf(t, "interfaces: {main: {profile: cv32-gate32, link: "+link+", ports: 2}}\nbanks: {K: {voices: 20}}\n", events...)
	}
	latest := func(l *Load) (by time.Duration) {
		require.Len(t, l.Ports, 2)
		for i := range l.Ports {
			by = max(by, l.Ports[i].Late.By)
		}
		return by
	}
	require.Equal(t, 2*time.Millisecond, latest(rig("usb")))
	require.Equal(t, 125*time.Microsecond, latest(rig("usb-high")))
	require.Equal(t, 16*960*time.Microsecond, latest(rig("din"))) // port 1 has 16 voices
}

// 5-pin: the last of 16 notes is complete after 16·0.96 = 15.36 ms, with a bend each
// after 30.72.
func TestSixteenNotesOnFivePins(t *testing.T) {
	_, arrivals := Queue(notesAt(0, 16))
	require.Equal(t, 15360*time.Microsecond, arrivals[15])
	var bent []Message
	for i, m := range notesAt(0, 16) {
		bent = append(bent, Message{Status: 0xE0 | byte(i), Size: 3, Mark: NoMark}, m)
	}
	_, arrivals = Queue(bent)
	require.Equal(t, 30720*time.Microsecond, arrivals[31])
}
