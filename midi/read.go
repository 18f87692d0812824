package midi

// Options says how a file is to be read.
type Options struct {
	// Track chooses the song of a format 2 file by its track, from 1; 0
	// chooses none. It must be 0 for the other formats, whose tracks make
	// one song together.
	Track int
}

// longest is the length in nanoseconds, about 146 years, past which a song is
// not read on, so that no sum of times overflows.
const longest = 1 << 62

// Read reads a Standard MIDI File. What can be made sense of is read, and
// what is wrong with it is among the warnings of the song. The errors are
// *[FormatError], for what is no MIDI file or has no track, and
// *[Format2Error]. Memory and time are at most a small multiple of the size
// of the data, whatever it holds.
func Read(data []byte, opt Options) (*Song, error) { return read(data, opt, false) }

// read is Read, with or without the fast path, which makes no difference but
// that of speed.
func read(data []byte, opt Options, slow bool) (*Song, error) {
	song := new(Song)
	start, end, wrapper, err := unwrap(data, &song.Warnings)
	if err != nil {
		return nil, err
	}
	data = data[:end]
	head, at, err := readHeader(data, start, &song.Warnings)
	if err != nil {
		return nil, err
	}
	spans := locate(data, at, &song.Warnings)
	if len(spans) == 0 {
		return nil, formatErrorf(at, "no track chunk in the file")
	}
	song.Format, song.Wrapper = head.format, wrapper
	checkCounts(head, len(spans), start+8, &song.Warnings)
	first, last, err := choose(head.format, len(spans), opt.Track, start+8)
	if err != nil {
		return nil, err
	}
	song.Tracks = make([]Track, len(spans))
	for i, s := range spans {
		song.Tracks[i].Offset = s.chunk
	}
	r := newReader(data, head.div, song)
	r.slow = slow
	r.read(spans, first, last)
	return song, nil
}

// checkCounts warns where the format and the number of tracks, which stand at
// offset at, are at odds with the tracks there are.
func checkCounts(head header, tracks, at int, w *Warnings) {
	if head.tracks != tracks {
		w.CutOff = w.CutOff || head.tracks > tracks
		w.add(at+2, "header counts %d tracks, the file has %d: read those", head.tracks, tracks)
	}
	if head.format == 0 && tracks > 1 {
		w.add(at, "format 0 with %d tracks, expected 1: read all", tracks)
	}
}

// choose returns which tracks, first to last − 1, are to be read. A file of
// format 2 with one track leaves nothing to choose.
func choose(format, tracks, track, at int) (first, last int, err error) {
	switch {
	case format != 2 && track != 0:
		return 0, 0, formatErrorf(at, "track %d asked for, but a file of format %d is one song over all its tracks", track, format)
	case format != 2:
		return 0, tracks, nil
	case track == 0 && tracks == 1:
		return 0, 1, nil
	case track < 1 || track > tracks:
		return 0, 0, &Format2Error{Tracks: tracks, Track: track}
	}
	return track - 1, track, nil
}

// reader decodes the tracks of a song into one list of events.
type reader struct {
	data   []byte
	song   *Song
	div    Division
	events []Event
	tempi  []TempoChange
	meters []Signature
	now    tempoSegment // the tempo where the reading stands
	limit  Tick         // the last tick within the longest song
	slow   bool         // without the fast path
}

func newReader(data []byte, div Division, song *Song) *reader {
	r := &reader{data: data, song: song, div: div}
	r.setTempo(firstSegment(div))
	return r
}

// setTempo makes the tempo known that holds from here on.
func (r *reader) setTempo(s tempoSegment) {
	r.now = s
	r.limit = min(s.tick(longest), lastTick)
}

// read decodes the tracks first to last − 1. Events of a usual file take
// three to five bytes, so room for one in three bytes is enough for it.
func (r *reader) read(spans []span, first, last int) {
	size := 0
	for _, s := range spans[first:last] {
		size += s.end - s.start
	}
	r.events = make([]Event, 0, size/3+1)
	cursors := r.open(spans, first, last)
	r.merge(cursors)
	for i, c := range cursors {
		t := &r.song.Tracks[first+i]
		t.Events, t.End = c.events, c.at
		r.song.End = max(r.song.End, c.at)
	}
	r.song.Events, r.song.NoteOns = r.events, noteOns(r.events)
	r.song.Tempo = NewTempoMap(r.div, r.tempi)
	r.song.Meter = NewMeterMap(r.div, r.meters)
}

// open puts a cursor on the first event of each track.
func (r *reader) open(spans []span, first, last int) []cursor {
	cursors := make([]cursor, last-first)
	for i := range cursors {
		s := spans[first+i]
		cursors[i] = cursor{index: uint16(first + i), pos: s.start, end: s.end}
		r.delta(&cursors[i])
	}
	return cursors
}

// noteOns counts the note-ons, without branches on what cannot be foretold.
func noteOns(events []Event) int {
	count := 0
	for _, e := range events {
		on := 0
		if e.Data2 > 0 {
			on = 1
		}
		if e.Kind() != NoteOn {
			on = 0
		}
		count += on
	}
	return count
}
