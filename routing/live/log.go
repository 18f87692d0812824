package live

import (
	"encoding/binary"
	"fmt"
	"io"

	"choirloft/midi"
)

// log encodes the events of a session as they come: those of the track of a
// [LogFile]. What it says waits until it is fetched.
type log struct {
	waiting []byte
	at      midi.Tick // of the last event
	port    midi.Port // that the track is on
	count   int
	full    bool
}

// logRoom is how much waits without being moved: more than a line at full speed
// says in ten seconds.
const logRoom = 1 << 17

// emptyText is a meta event that says nothing, behind its delta time.
var emptyText = []byte{0xFF, 0x01, 0}

// longestDelta is the largest delta time that a file can say (RP-001).
const longestDelta = 0x0FFFFFFF

func (l *log) add(e midi.Event, most int) {
	if l.count >= most {
		l.full = l.full || most > 0
		return
	}
	l.count++
	l.wait(e.Tick)
	if e.Port != l.port {
		l.port = e.Port
		l.waiting = append(l.waiting, 0xFF, 0x21, 1, byte(e.Port), 0)
	}
	l.waiting = append(l.waiting, e.Status, e.Data1)
	if k := e.Kind(); k != midi.ProgramChange && k != midi.ChannelPressure {
		l.waiting = append(l.waiting, e.Data2)
	}
}

// wait writes the delta time to a tick.
func (l *log) wait(at midi.Tick) {
	for ; at-l.at > longestDelta; l.at += longestDelta {
		l.waiting = append(append(l.waiting, 0xFF, 0xFF, 0xFF, 0x7F), emptyText...)
	}
	d := at - l.at
	l.at = at
	for shift := 21; shift > 0; shift -= 7 {
		if d>>shift != 0 {
			l.waiting = append(l.waiting, byte(d>>shift)|0x80)
		}
	}
	l.waiting = append(l.waiting, byte(d)&0x7F)
}

// end lets the track last until a tick.
func (l *log) end(at midi.Tick) {
	l.wait(at)
	l.waiting = append(l.waiting, emptyText...)
}

// Full tells whether the log had no room for all that came.
func (s *Session) Full() bool { return s.log.full }

// Logged hands over what the log said since the last call, for
// [LogFile.Append]; what follows is put into the room of free.
func (s *Session) Logged(free []byte) []byte {
	said := s.log.waiting
	s.log.waiting = free[:0]
	return said
}

// The log's ticks are microseconds: a quarter of 32 000 of them lasts 32 ms. A
// signature of 125 quarters makes bars of four seconds.
const (
	logDivision = 32_000
	logBeats    = 125
)

// LogFile is a MIDI file of all events that came, in the order in which they did:
// one track, which a port event (FF 21) puts on another port where the port
// changes, a microsecond a tick, no two events at one tick. Replayed, it gives
// the same decisions. It grows, and is a MIDI file at any moment: see Append.
type LogFile struct {
	to   io.WriterAt
	size int64
}

// Where the length of the track stands, and where its events begin: behind a
// header chunk of 14 bytes and the name of the track's.
const (
	lengthAt = 18
	trackAt  = 22
)

// endOfTrack stands at the end, behind a delta time of 0.
var endOfTrack = []byte{0, 0xFF, 0x2F, 0}

// NewLogFile writes the beginning of the log of a session into an empty file.
func (s *Session) NewLogFile(to io.WriterAt) (*LogFile, error) {
	d := midi.Division{Ticks: logDivision}
	score := &midi.Score{
		Name:  logName,
		Texts: []string{fmt.Sprintf("events as they came in, for %s [%s]; a tick is a microsecond", s.plan.Rig.Name, s.plan.Code())},
		Tempo: midi.NewTempoMap(d, []midi.TempoChange{{Micros: logDivision}}),
		Meter: midi.NewMeterMap(d, []midi.Signature{{Beats: logBeats, Unit: 4}}),
	}
	data, err := score.Bytes()
	if err != nil {
		return nil, err
	}
	if _, err := to.WriteAt(data, 0); err != nil {
		return nil, err
	}
	return &LogFile{to, int64(len(data))}, nil
}

// IsLog tells by how a file begins whether it is a log of a session.
func IsLog(head []byte) bool {
	const name = "\x00\xFF\x03\x08" + logName
	return len(head) >= trackAt+len(name) && string(head[:4]) == "MThd" && string(head[trackAt-8:trackAt-4]) == "MTrk" &&
		string(head[trackAt:trackAt+len(name)]) == name
}

// logName is the name of the track of a log.
const logName = "live log"

// Append adds what [Session.Logged] handed over. After an error the file is as
// long as it was, and the same may be appended again.
//
// It is written in three steps, so that whatever ends the program between two of
// them leaves all that was appended before: first the events stand behind the
// end of the file, then its track is said to be longer, and then its old end,
// by one byte, becomes an empty text.
func (f *LogFile) Append(events []byte) error {
	if len(events) == 0 {
		return nil
	}
	size := f.size + int64(len(events)+len(endOfTrack))
	if _, err := f.to.WriteAt(append(events, endOfTrack...), f.size); err != nil {
		return err
	}
	if _, err := f.to.WriteAt(binary.BigEndian.AppendUint32(nil, uint32(size-trackAt)), lengthAt); err != nil {
		return err
	}
	if _, err := f.to.WriteAt(emptyText[1:2], f.size-2); err != nil {
		return err
	}
	f.size = size
	return nil
}
