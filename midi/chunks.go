package midi

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
)

// maxTracks is how many tracks a song can have: an event numbers them in 16 bits.
const maxTracks = 1 << 16

// header is what the header chunk says.
type header struct {
	format int
	tracks int
	div    Division
}

// span is a track's chunk: its first byte, the first of its events, and the
// end of them.
type span struct{ chunk, start, end int }

// readHeader reads the header chunk at start and returns where it ends. One
// longer than six bytes is honoured (RP-001, "Header Chunks").
func readHeader(data []byte, start int, w *Warnings) (header, int, error) {
	head := data[start:]
	switch {
	case len(head) == 0:
		return header{}, 0, formatErrorf(start, "empty, expected a MIDI file")
	case !bytes.HasPrefix(head, []byte("MThd")) && !bytes.HasPrefix([]byte("MThd"), head):
		if kind := looks(head); kind != "" {
			return header{}, 0, formatErrorf(start, "not a MIDI file: looks like %s, expected \"MThd\"", kind)
		}
		return header{}, 0, formatErrorf(start, "not a MIDI file: begins with % X, expected \"MThd\"", head[:min(4, len(head))])
	case len(head) < 14:
		return header{}, 0, formatErrorf(start, "header chunk cut short: %d bytes, expected 14", len(head))
	}
	size := chunkSize(binary.BigEndian.Uint32(head[4:]))
	if size < 6 {
		return header{}, 0, formatErrorf(start+4, "header chunk of %d bytes, expected at least 6", size)
	}
	if size > len(head)-8 {
		return header{}, 0, formatErrorf(start+4, "header chunk of %d bytes, but %d are left in the file", size, len(head)-8)
	}
	h, err := parseHeader(head[8:14], start+8, w)
	return h, start + 8 + size, err
}

// parseHeader reads the three words of a header chunk, which stand at offset at.
func parseHeader(words []byte, at int, w *Warnings) (header, error) {
	h := header{
		format: int(binary.BigEndian.Uint16(words)),
		tracks: int(binary.BigEndian.Uint16(words[2:])),
	}
	if h.format > 2 {
		w.add(at, "format %d, expected 0, 1 or 2: read as 1", h.format)
		h.format = 1
	}
	div, err := ParseDivision(binary.BigEndian.Uint16(words[4:]))
	if err != nil {
		return header{}, formatErrorf(at+4, "%v", err)
	}
	h.div = div
	return h, nil
}

// locate finds the track chunks from at on. Chunks of other kinds are skipped;
// where no chunk begins, or one runs past the end of the file, the next track
// chunk is looked for.
func locate(data []byte, at int, w *Warnings) []span {
	var spans []span
	for at < len(data) {
		id, size, ok := chunkHeader(data, at)
		start := at + 8
		switch {
		case !ok:
			at = resume(data, at, w, "no chunk begins here")
		case id == "MTrk":
			if len(spans) == maxTracks {
				w.add(at, "more than %d tracks: the rest is ignored", maxTracks)
				return spans
			}
			end := trackEnd(data, start, size, w)
			spans = append(spans, span{at, start, end})
			at = end
		case size > len(data)-start:
			at = resume(data, at, w, fmt.Sprintf("chunk %q of %d bytes, but %d are left in the file", id, size, len(data)-start))
		default:
			w.add(at, "chunk %q of %d bytes is none of a MIDI file: skipped", id, size)
			at = start + size
		}
	}
	return spans
}

// chunkHeader reads the eight bytes of a chunk's header, and tells whether
// they can be one: the four of the identifier are printable ASCII.
func chunkHeader(data []byte, at int) (id string, size int, ok bool) {
	if len(data)-at < 8 {
		return "", 0, false
	}
	for _, b := range data[at : at+4] {
		if b < 0x20 || b > 0x7E {
			return "", 0, false
		}
	}
	return string(data[at : at+4]), chunkSize(binary.BigEndian.Uint32(data[at+4:])), true
}

// chunkSize returns a chunk's length as an int, which may have 32 bits.
func chunkSize(n uint32) int { return int(min(uint64(n), math.MaxInt)) }

// resume returns where the next track chunk after at begins, or the end of
// the data, and warns of what it skips.
func resume(data []byte, at int, w *Warnings, why string) int {
	if n := bytes.Index(data[at+1:], []byte("MTrk")); n >= 0 {
		w.add(at, "%s: skipped %d bytes to the next track chunk", why, n+1)
		return at + 1 + n
	}
	w.add(at, "%s: the last %d bytes are ignored", why, len(data)-at)
	return len(data)
}

// trackEnd returns where the events of a track chunk end. Where the chunk runs
// past the end of the data, that is the next track chunk, or the end of the
// data.
func trackEnd(data []byte, start, size int, w *Warnings) int {
	left := len(data) - start
	if size <= left {
		return start + size
	}
	if n := bytes.Index(data[start:], []byte("MTrk")); n >= 0 {
		w.cut(start-4, "track chunk of %d bytes, but %d are left in the file: read up to the next track chunk", size, left)
		return start + n
	}
	w.cut(start-4, "track chunk of %d bytes, but %d are left in the file: read those", size, left)
	return len(data)
}
