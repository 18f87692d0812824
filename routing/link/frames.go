package link

import "time"

// Frames is how a USB cable carries MIDI: what is there when the host asks goes in
// one packet, and the rest in the next.
type Frames struct {
	Every  time.Duration // from one packet to the next
	Events int           // in a packet at most, one a message
}

// A USB-MIDI event is 4 bytes long. A packet of full speed holds 64 bytes, one of
// high speed 512; a host asks once a frame of 1 ms or once a microframe of 125 µs
// (USB 2.0 §5.8.3 and Device Class Definition for MIDI Devices 1.0 §4, cited from
// memory). That it asks each time, for one packet, is assumed.
var (
	fullSpeed = Frames{time.Millisecond, 64 / 4}
	highSpeed = Frames{125 * time.Microsecond, 512 / 4}
)

// Send sends messages, in the order in which they are sent, by packets, as late as
// it gets: nobody knows when the host asks. A message that meets an empty cable may
// just have missed it and waits for a whole frame, half of one in the mean; behind
// others it goes a packet after the one that many places ahead.
func (f Frames) Send(messages []Message) (arrivals []time.Duration) {
	arrivals = make([]time.Duration, len(messages))
	for i, m := range messages {
		arrivals[i] = m.At + f.Every
		if i >= f.Events {
			arrivals[i] = max(arrivals[i], arrivals[i-f.Events]+f.Every)
		}
	}
	return arrivals
}
