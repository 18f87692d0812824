package study_test

import (
	"encoding/binary"
	"slices"

	"pgregory.net/rapid"
)

// An item is one event of a random track, or of what stands between events.
type item struct {
	delta         int
	lasts         int // of an on: to an off of its own; below 0 there is none
	what          what
	channel       int
	number, value int
	running       bool // leave the status byte out, if it may be
	offVelocity   bool // a note-off with a status of its own, not an on at velocity 0
}

type what int

const (
	itemOn what = iota
	itemOff
	itemControl
	itemOther // a message that no gate hears: bend, pressures, program
	itemTempo
	itemPort
	itemZone    // RPN 6, selected and entered
	itemBetween // text, system exclusive, a meta event nobody knows
)

// weights are how often each kind of item is drawn.
var weights = []what{
	itemOn, itemOn, itemOn, itemOn, itemOn, itemOn, itemOn, itemOn, itemOn, itemOn, itemOn, itemOn,
	itemOff, itemOff, itemOff, itemOff, itemOff, itemOff,
	itemControl, itemControl, itemControl, itemControl, itemControl,
	itemOther, itemTempo, itemPort, itemBetween,
}

// lines are the channels that are drawn: of plain ones, and of zones, managers and
// members of both.
var lines = map[bool][]int{false: {0, 0, 0, 1, 9}, true: {0, 1, 1, 1, 2, 13, 14, 14, 15}}

// controls are the controllers drawn: both pedals most often, every mode
// message, and some that no gate hears.
var controls = []int{64, 64, 64, 64, 66, 66, 66, 120, 121, 122, 123, 123, 124, 125, 126, 127, 7, 6, 100, 101}

// forManagers are those that a zone's manager gets, mode messages most often.
var forManagers = []int{64, 66, 121, 120, 120, 123, 123, 124, 124, 125, 125, 126, 126, 127, 127}

// drawItem draws keys, channels and distances from so few that they collide.
// Where there are zones, three keys do, and half of the controllers are for a manager.
func drawItem(t *rapid.T, zones bool) item {
	top := 63
	if zones {
		top = 60
	}
	it := item{
		what:        rapid.SampledFrom(weights).Draw(t, "what"),
		delta:       rapid.SampledFrom([]int{0, 0, 0, 1, 2, 3, 5, 10, 20, 60, 80, 200, 480}).Draw(t, "delta"),
		lasts:       rapid.SampledFrom([]int{-1, 0, 1, 3, 5, 30, 80, 200, 200, 480, 1000}).Draw(t, "lasts"),
		channel:     rapid.SampledFrom(lines[zones]).Draw(t, "channel"),
		number:      rapid.IntRange(58, top).Draw(t, "number"),
		value:       rapid.SampledFrom([]int{127, 0, 1, 63, 64, 65, 90}).Draw(t, "value"),
		running:     rapid.Bool().Draw(t, "running"),
		offVelocity: rapid.Bool().Draw(t, "off velocity"),
	}
	if it.what == itemControl {
		it.number = rapid.SampledFrom(controls).Draw(t, "control")
		if zones && rapid.Bool().Draw(t, "to a manager") {
			it.channel = rapid.SampledFrom([]int{0, 0, 15}).Draw(t, "manager")
			it.number = rapid.SampledFrom(forManagers).Draw(t, "its control")
		}
	}
	if zones && it.what == itemOther && rapid.Bool().Draw(t, "zone") {
		it.what, it.channel = itemZone, rapid.SampledFrom([]int{0, 0, 15, 15, 1}).Draw(t, "manager")
		it.value = rapid.SampledFrom([]int{0, 1, 2, 3, 12, 13, 14, 15, 16}).Draw(t, "members")
	}
	return it
}

// drawTrack draws a track in phrases, which makes it long and easy to shrink.
func drawTrack(t *rapid.T, zones bool) []item {
	one := rapid.Custom(func(t *rapid.T) item { return drawItem(t, zones) })
	items := slices.Concat(rapid.SliceOf(rapid.SliceOf(one)).Draw(t, "phrases")...)
	tick := 0
	for i := range items {
		tick += items[i].delta
		items[i].delta = tick
	}
	for _, it := range items {
		if it.what == itemOn && it.lasts >= 0 {
			it.what, it.delta = itemOff, it.delta+it.lasts
			items = append(items, it)
		}
	}
	slices.SortStableFunc(items, func(a, b item) int { return a.delta - b.delta })
	for i := len(items) - 1; i > 0; i-- {
		items[i].delta -= items[i-1].delta
	}
	return items
}

// drawFile draws a file of format 0 or 1.
func drawFile(t *rapid.T, zones bool) []byte {
	one := rapid.Custom(func(t *rapid.T) []item { return drawTrack(t, zones) })
	tracks := rapid.SliceOfN(one, 1, 4).Draw(t, "tracks")
	division := rapid.SampledFrom([]uint16{
		500, 100, 96, 480, 1, // ticks a quarter: at 500 one is a millisecond, at 100 a minimum gate
		0xE728, 0xE250, 0xE80A, 0xE364, // 25 × 40: milliseconds; 30 × 80; 24 × 10; 29.97 × 100
	}).Draw(t, "division")
	format := byte(1)
	if len(tracks) == 1 {
		format = byte(rapid.IntRange(0, 1).Draw(t, "format"))
	}
	head := []byte{'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, format, 0, byte(len(tracks))}
	if rapid.IntRange(0, 9).Draw(t, "long header") == 0 {
		head[7] = 8
	}
	file := binary.BigEndian.AppendUint16(head, division)
	file = append(file, make([]byte, head[7]-6)...)
	for _, items := range tracks {
		if rapid.IntRange(0, 9).Draw(t, "alien chunk") == 0 {
			file = append(file, "XFIH\x00\x00\x00\x03abc"...)
		}
		rest := rapid.SampledFrom([]int{0, 0, 1, 5, 300, 20000, -1}).Draw(t, "rest")
		file = append(file, trackBytes(items, rest)...)
	}
	return file
}

// trackBytes writes a track. A rest below 0 leaves the end of track out.
func trackBytes(items []item, rest int) []byte {
	var b []byte
	status := byte(0) // that which is running
	for _, it := range items {
		b = append(b, vlq(it.delta)...)
		switch it.what {
		case itemTempo:
			micros := []int{500000, 250000, 333333, 1000000, 16777215, 1, 0}[it.number%7]
			b = append(b, 0xFF, 0x51, 3, byte(micros>>16), byte(micros>>8), byte(micros))
		case itemPort:
			b = append(b, 0xFF, 0x21, 1, byte(it.value%3))
		case itemBetween:
			b = append(b, [][]byte{
				{0xFF, 0x01, 2, 'h', 'i'}, {0xF0, 3, 0x7D, 0x40, 0xF7}, {0xF7, 2, 0x90, 0x3C},
				{0xFF, 0x60, 0}, {0xFF, 0x7F, 3, 0x7D, 0x90, 0x3C}, {0xFF, 0x58, 4, 3, 2, 24, 8},
			}[it.number%6]...)
		case itemZone:
			c := 0xB0 | byte(it.channel)
			b = append(b, c, 101, 0, 0, c, 100, 6, 0, c, 6, byte(it.value))
			status = c
			continue
		default:
			m := it.message()
			if m[0] == status && it.running {
				m = m[1:]
			} else {
				status = m[0]
			}
			b = append(b, m...)
			continue
		}
		// These cancel running status (RP-001); a reader should bear with a writer
		// that goes on with it.
		if !it.offVelocity {
			status = 0
		}
	}
	if rest >= 0 {
		b = append(append(b, vlq(rest)...), 0xFF, 0x2F, 0)
	}
	if rest == 1 {
		b = append(b, 0, 0x90, 60, 64) // what stands behind the end is not heard
	}
	return append(binary.BigEndian.AppendUint32([]byte("MTrk"), uint32(len(b))), b...)
}

// message is a channel message.
func (it item) message() []byte {
	number, value, channel := byte(it.number), byte(it.value), byte(it.channel)
	switch {
	case it.what == itemControl:
		return []byte{0xB0 | channel, number, value}
	case it.what == itemOther:
		return [][]byte{
			{0xC0 | channel, number}, {0xD0 | channel, value}, {0xE0 | channel, 0, value}, {0xA0 | channel, number, value},
		}[number%4]
	case it.what == itemOn:
		return []byte{0x90 | channel, number, max(1, value)}
	case it.offVelocity:
		return []byte{0x80 | channel, number, value}
	}
	return []byte{0x90 | channel, number, 0}
}

// vlq writes a variable-length quantity: seven bits a byte, the highest first,
// bit 7 set on all but the last (RP-001).
func vlq(n int) []byte {
	b := []byte{byte(n & 0x7F)}
	for n >>= 7; n > 0; n >>= 7 {
		b = append([]byte{byte(n&0x7F) | 0x80}, b...)
	}
	return b
}
