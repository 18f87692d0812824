package link

import "time"

// ByteTime is how long a byte takes on a 5-pin link: ten bits at 31 250 a
// second (IEC 63035:2017 §4.1).
const ByteTime = 320 * time.Microsecond

// Message is one message for a port.
type Message struct {
	At     time.Duration // when it is sent, and wanted
	Status byte          // its first byte, such as 0x90
	Size   int           // bytes, the status included: 2 or 3
	Mark   int           // of the caller: the note that it sounds; −1 for what sounds none
}

// NoMark is the mark of a message that sounds no note.
const NoMark = -1

// Traffic is what a port carries.
type Traffic struct {
	Messages int
	Bytes    int           // less what running status saves
	Busy     time.Duration // in which bytes are on their way
	Late     Late          // the note that came latest
	Smear    Smear         // the chord that is spread furthest
}

// Late is a note that arrives after it is wanted.
type Late struct {
	By   time.Duration // from when it was sent until its last byte is there
	Mark int           // NoMark without any
}

// Smear is a chord, notes that are sent at one instant, of which the last
// arrives after the first.
type Smear struct {
	Spread time.Duration // from the arrival of the first to that of the last
	Notes  int           // 0 without any chord
	Mark   int           // of its first note
}

// Queue sends messages through a 5-pin link. They come in the order in which
// they are sent, so by time. The arrivals are when the last byte of each is
// there.
//
// Running status leaves the status byte out of a message that has that of the
// message right before it (MIDI 1.0, "Running Status"): so never between
// channels.
func Queue(messages []Message) (t Traffic, arrivals []time.Duration) {
	arrivals = make([]time.Duration, len(messages))
	var free time.Duration // when the link is
	last := byte(0)
	for i, m := range messages {
		size := m.Size
		if m.Status == last {
			size--
		}
		last = m.Status
		took := time.Duration(size) * ByteTime
		free = max(free, m.At) + took
		arrivals[i] = free
		t.Messages++
		t.Bytes += size
		t.Busy += took
	}
	t.Late, t.Smear = latest(messages, arrivals), widest(messages, arrivals)
	return t, arrivals
}

// latest is the note that came latest, the first of equals.
func latest(messages []Message, arrivals []time.Duration) Late {
	worst := Late{Mark: NoMark}
	for i, m := range messages {
		if by := arrivals[i] - m.At; m.Mark != NoMark && by > worst.By {
			worst = Late{by, m.Mark}
		}
	}
	return worst
}

// widest is the chord that is spread furthest, the first of equals. Messages
// come by time.
func widest(messages []Message, arrivals []time.Duration) Smear {
	worst := Smear{Mark: NoMark}
	for i := 0; i < len(messages); {
		n, chord := i, Smear{Mark: NoMark}
		var first, last time.Duration
		for ; n < len(messages) && messages[n].At == messages[i].At; n++ {
			if messages[n].Mark == NoMark {
				continue
			}
			if chord.Notes == 0 {
				chord.Mark, first, last = messages[n].Mark, arrivals[n], arrivals[n]
			}
			chord.Notes++
			first, last = min(first, arrivals[n]), max(last, arrivals[n])
		}
		if chord.Spread = last - first; chord.Notes > 1 && (worst.Notes == 0 || chord.Spread > worst.Spread) {
			worst = chord
		}
		i = n
	}
	return worst
}
