package midi

import "encoding/binary"

// dataBytes returns how many data bytes follow the status of a channel message.
func dataBytes(status uint8) int {
	if k := Kind(status >> 4); k == ProgramChange || k == ChannelPressure {
		return 1
	}
	return 2
}

// messages decodes channel messages that are as they should be, before the
// tick until, for as long as nothing else comes; event reads everything else:
// also delta times of more than two bytes and whatever is near the end of the
// track, where there are no eight bytes to look at. Where the bytes cannot be
// foretold (status or running status, the size of the delta time) it computes
// instead of branching.
func (r *reader) messages(c *cursor, until Tick) {
	data := r.data[:c.end]
	free := r.events[len(r.events):cap(r.events)]
	pos, tick, status, n := c.pos, c.next, c.running, 0
	for ; tick < until && len(data)-pos >= 8 && n < len(free); n++ {
		w := binary.BigEndian.Uint64(data[pos:]) // status, two data bytes, delta time …
		has := w >> 63                           // 1 where there is a status
		s := uint8(w>>56)&-uint8(has) | status&(uint8(has)-1)
		w >>= 8 * (has ^ 1)
		if s < 0x80 || s >= 0xF0 {
			break
		}
		d1, d2, size := uint8(w>>48), uint8(w>>40), 3+int(has)
		if s&0xE0 == 0xC0 { // one data byte
			w, d2, size = w>>8, 0, size-1
		}
		delta, second := w>>32&0xFF, w>>24&0xFF
		two := delta >> 7 // 1 where the delta time has a second byte
		if (d1|d2) >= 0x80 || two&(second>>7) != 0 {
			break
		}
		e := &free[n] // filled field by field: copying a whole event takes twice as long
		e.Tick, e.Track, e.Port, e.Status, e.Data1, e.Data2 = tick, c.index, c.port, s, d1, d2
		pos += size + int(two)
		tick += Tick((delta&0x7F)<<(7*two) | second&-two)
		status = s
	}
	if n > 0 {
		c.pos, c.next, c.running, c.at = pos, tick, status, free[n-1].Tick
		c.events += n
		r.events = r.events[:len(r.events)+n]
	}
}

// event reads the event at c, whatever it is, and the delta time behind it.
func (r *reader) event(c *cursor) {
	if c.pos >= c.end {
		r.stop(c, c.pos, "track ends where an event is due")
		return
	}
	switch b := r.data[c.pos]; {
	case b == 0xFF:
		r.meta(c)
	case b == 0xF0 || b == 0xF7:
		r.sysex(c)
	case b > 0xF0:
		r.system(c)
	case b >= 0x80:
		c.running, c.kept = b, 0
		r.message(c, c.pos+1)
	case c.running != 0:
		r.message(c, c.pos)
	case c.kept != 0:
		r.warn(c.pos, "running status %02X was cancelled by an event before: used all the same", c.kept)
		c.running = c.kept
		r.message(c, c.pos)
	default:
		r.resync(c)
		return
	}
	if !c.done {
		c.at = c.next
		r.delta(c)
	}
}

// message reads the data bytes, at pos, of a channel message in running status.
func (r *reader) message(c *cursor, pos int) {
	n := dataBytes(c.running)
	if c.end-pos < n {
		r.stop(c, c.pos, "track ends within the message %02X", c.running)
		return
	}
	e := Event{Tick: c.next, Track: c.index, Port: c.port, Status: c.running}
	e.Data1 = r.clip(pos)
	if n == 2 {
		e.Data2 = r.clip(pos + 1)
	}
	r.events = append(r.events, e)
	c.events++
	c.pos = pos + n
}

// clip returns the data byte at pos. One above 127 is taken for a value out of
// range, not for a status byte: the framing of the track is kept.
func (r *reader) clip(pos int) uint8 {
	if b := r.data[pos]; b > 127 {
		r.warn(pos, "data byte of %d, expected 0–127: read as 127", b)
		return 127
	}
	return r.data[pos]
}

// resync finds a way out of data bytes for which there is no status: to the
// next byte that may begin an event, which is taken to be at the same tick.
func (r *reader) resync(c *cursor) {
	for pos := c.pos + 1; pos < c.end; pos++ {
		if r.begins(pos, c.end) {
			r.warn(c.pos, "data byte %02X without running status: skipped %d bytes to the next status", r.data[c.pos], pos-c.pos)
			c.pos = pos
			return
		}
	}
	r.stop(c, c.pos, "data byte %02X without running status, and no status after it", r.data[c.pos])
}

// begins tells whether an event may begin at pos: a status with all its data
// bytes, a meta event or a sysex.
func (r *reader) begins(pos, end int) bool {
	b := r.data[pos]
	if b < 0x80 || b > 0xF0 {
		return b == 0xF7 || b == 0xFF
	}
	if b == 0xF0 {
		return true
	}
	n := dataBytes(b)
	return end-pos > n && r.data[pos+1] < 0x80 && r.data[pos+n] < 0x80
}

// delta reads the delta time at c.
func (r *reader) delta(c *cursor) {
	if c.pos >= c.end {
		r.warn(c.pos, "track without an end of track: track read up to here") // no note is missing
		c.done = true
		return
	}
	if value, ok := r.quantity(c, "delta time"); ok {
		c.next += Tick(value)
	}
}

// quantity reads the variable-length quantity at c. Where it is longer than
// four bytes or cut short, it stops the track and returns false.
func (r *reader) quantity(c *cursor, what string) (int, bool) {
	value := 0
	for i, b := range r.data[c.pos:min(c.end, c.pos+4)] {
		value = value<<7 | int(b&0x7F)
		if b < 0x80 {
			c.pos += i + 1
			return value, true
		}
	}
	if c.end-c.pos < 4 {
		r.stop(c, c.pos, "track ends within a %s", what)
	} else {
		r.stop(c, c.pos, "%s of more than four bytes", what)
	}
	return 0, false
}

// stop ends the reading of a track before its end of track.
func (r *reader) stop(c *cursor, offset int, format string, args ...any) {
	r.song.Warnings.cut(offset, format+": track read up to here", args...)
	c.done = true
}

func (r *reader) warn(offset int, format string, args ...any) {
	r.song.Warnings.add(offset, format, args...)
}
