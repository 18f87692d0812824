package midi

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// The meta events that are read (RP-001, "Meta-Events"; device name RP-019;
// port common practice).
const (
	metaText       = 0x01
	metaTrackName  = 0x03
	metaDeviceName = 0x09
	metaPort       = 0x21
	metaEndOfTrack = 0x2F
	metaTempo      = 0x51
	metaSignature  = 0x58
)

// meta reads a meta event. One longer than expected is read as far as known
// (RP-001), one shorter is ignored.
func (r *reader) meta(c *cursor) {
	at := c.pos
	if c.end-at < 2 {
		r.stop(c, at, "track ends within a meta event")
		return
	}
	kind := r.data[at+1]
	body, ok := r.body(c, 2, "meta event")
	if !ok {
		return
	}
	switch kind {
	case metaText:
		r.name(&r.song.Tracks[c.index].Text, body)
	case metaTrackName:
		r.name(&r.song.Tracks[c.index].Name, body)
	case metaDeviceName:
		r.name(&r.song.Tracks[c.index].Device, body)
	case metaPort:
		r.port(c, at, body)
	case metaEndOfTrack:
		r.endOfTrack(c, at, body)
	case metaTempo:
		r.tempo(c.next, at, body)
	case metaSignature:
		r.signature(c.next, at, body)
	}
}

// sysex reads over a system exclusive message or an escape. Messages inside an
// escape (F7) are not played.
func (r *reader) sysex(c *cursor) { r.body(c, 1, "sysex") }

// body reads a length, which stands head bytes after c, and returns as many
// bytes as it says. It cancels running status.
func (r *reader) body(c *cursor, head int, what string) ([]byte, bool) {
	c.cancel()
	at := c.pos
	c.pos += head
	size, ok := r.quantity(c, "length")
	if !ok {
		return nil, false
	}
	if left := c.end - c.pos; size > left {
		r.stop(c, at, "%s of %d bytes, but %d are left in the track", what, size, left)
		return nil, false
	}
	body := r.data[c.pos : c.pos+size]
	c.pos += size
	return body, true
}

// cancel ends running status, but keeps it for writers that use it on.
func (c *cursor) cancel() {
	if c.running != 0 {
		c.kept, c.running = c.running, 0
	}
}

// system skips a system common or real-time message (F1–F6, F8–FE), which has
// no place in a file, with its data bytes (MIDI 1.0, table V). Only the system
// common ones cancel running status.
func (r *reader) system(c *cursor) {
	b, size := r.data[c.pos], 1
	switch b {
	case 0xF1, 0xF3:
		size = 2
	case 0xF2:
		size = 3
	}
	if b < 0xF8 {
		c.cancel()
	}
	if size > c.end-c.pos {
		r.stop(c, c.pos, "track ends within the message %02X", b)
		return
	}
	r.warn(c.pos, "status %02X has no place in a file: skipped %d bytes", b, size)
	c.pos += size
}

func (r *reader) name(to *string, body []byte) {
	if *to == "" {
		*to = cleanText(body)
	}
}

func (r *reader) port(c *cursor, at int, body []byte) {
	switch {
	case len(body) < 1:
		r.warn(at, "port without a number: ignored")
	case body[0] > 127:
		r.warn(at, "port of %d, expected 0–127: ignored", body[0])
	default:
		c.port = Port(body[0])
	}
}

func (r *reader) endOfTrack(c *cursor, at int, body []byte) {
	c.done = true
	c.at = c.next
	if len(body) > 0 {
		r.warn(at, "end of track with %d bytes, expected 0: taken as one", len(body))
	}
	if left := c.end - c.pos; left > 0 {
		r.warn(c.pos, "%d bytes after the end of track: ignored", left)
	}
}

func (r *reader) tempo(t Tick, at int, body []byte) {
	if len(body) < 3 {
		r.warn(at, "tempo of %d bytes, expected 3: ignored", len(body))
		return
	}
	micros := int(body[0])<<16 | int(body[1])<<8 | int(body[2])
	if micros == 0 {
		r.warn(at, "tempo of 0 µs a quarter note: ignored")
		return
	}
	r.tempi = append(r.tempi, TempoChange{Tick: t, Micros: micros})
	if r.div.SMPTE() {
		return
	}
	base, rest := r.now.exact(t)
	num, den := r.div.tickLength(micros)
	r.setTempo(tempoSegment{t, base, rest, num, den})
}

func (r *reader) signature(t Tick, at int, body []byte) {
	switch {
	case len(body) < 4:
		r.warn(at, "time signature of %d bytes, expected 4: ignored", len(body))
	case body[0] == 0:
		r.warn(at, "time signature of 0 beats a bar: ignored")
	case body[1] > 7:
		r.warn(at, "time signature with a beat of 1/2^%d, expected up to 1/2^7: ignored", body[1])
	default:
		r.meters = append(r.meters, Signature{Tick: t, Beats: int(body[0]), Unit: 1 << body[1]})
	}
}

// cleanText returns the text of a meta event, for which the standard names no
// encoding: as UTF-8 where it is valid, else as Latin-1, without control
// characters and without marks that turn the direction of writing.
func cleanText(body []byte) string {
	if !utf8.Valid(body) {
		runes := make([]rune, len(body))
		for i, b := range body {
			runes[i] = rune(b)
		}
		body = []byte(string(runes))
	}
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, string(body))
}
