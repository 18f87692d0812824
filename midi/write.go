package midi

import (
	"fmt"

	"gitlab.com/gomidi/midi/v2/smf"
)

// Score is what [Score.Bytes] writes as a file of format 1: a first track with
// the name, the texts, the tempi and the time signatures, then the others.
type Score struct {
	Name   string
	Texts  []string // FF 01, at the start of the first track
	Tempo  TempoMap // its division is that of the file
	Meter  MeterMap
	End    Tick // of the first track, where nothing of it is later
	Tracks []ScoreTrack
}

// ScoreTrack is one track of a [Score].
type ScoreTrack struct {
	Name   string
	Device string // FF 09; left out if empty
	Port   Port   // FF 21
	// Events are in the order of ticks; what they say of track and port is not
	// looked at.
	Events []Event
}

// Bytes returns the file: running status, and no end of track before the last
// event. It is written through gomidi v2.3.24, whose encoder is sound but for
// delta times above 0FFFFFFFh: these are broken up by empty texts.
//
// What a file says beside tempo and beats is as usual: a time signature's
// metronome clicks once a beat, and a quarter has eight thirty-seconds.
func (s *Score) Bytes() ([]byte, error) {
	file := smf.NewSMF1()
	file.TimeFormat = timeFormat(s.Tempo.Division())
	if n := len(s.Tracks) + 1; n > 0xFFFF {
		return nil, fmt.Errorf("%d tracks, a file has 65535 at most", n)
	}
	for _, t := range append([]smf.Track{s.conductor()}, s.tracks()...) {
		if err := file.Add(t); err != nil {
			return nil, err
		}
	}
	return file.Bytes()
}

func timeFormat(d Division) smf.TimeFormat {
	if d.SMPTE() {
		return smf.TimeCode{FramesPerSecond: uint8(d.Rate), SubFrames: uint8(d.Ticks)}
	}
	return smf.MetricTicks(d.Ticks)
}

// conductor is the first track.
func (s *Score) conductor() smf.Track {
	var t trackWriter
	t.text(metaTrackName, s.Name)
	for _, text := range s.Texts {
		t.text(metaText, text)
	}
	tempi, meters := s.Tempo.Changes(), s.Meter.Signatures()
	for len(tempi)+len(meters) > 0 {
		if len(tempi) == 0 || len(meters) > 0 && meters[0].Tick <= tempi[0].Tick {
			t.signature(meters[0])
			meters = meters[1:]
			continue
		}
		micros := tempi[0].Micros
		t.add(tempi[0].Tick, []byte{0xFF, metaTempo, 3, byte(micros >> 16), byte(micros >> 8), byte(micros)})
		tempi = tempi[1:]
	}
	return t.close(max(s.End, t.now))
}

func (s *Score) tracks() []smf.Track {
	all := make([]smf.Track, len(s.Tracks))
	for i := range s.Tracks {
		from := &s.Tracks[i]
		t := trackWriter{track: make(smf.Track, 0, len(from.Events)+4)}
		t.text(metaTrackName, from.Name)
		t.text(metaDeviceName, from.Device)
		t.add(0, []byte{0xFF, metaPort, 1, byte(from.Port)})
		bytes := make([]byte, 0, 3*len(from.Events)) // of all messages
		for _, e := range from.Events {
			start := len(bytes)
			bytes = append(append(bytes, e.Status, e.Data1), e.Data2)[:start+1+dataBytes(e.Status)]
			t.add(e.Tick, bytes[start:])
		}
		all[i] = t.close(t.now)
	}
	return all
}

// trackWriter collects the events of one track.
type trackWriter struct {
	track smf.Track
	now   Tick
}

// longestDelta is the largest delta time that a file can say.
const longestDelta = 0x0FFFFFFF

// delta returns the time to a tick, which is not before the last.
func (t *trackWriter) delta(at Tick) uint32 {
	for at-t.now > longestDelta {
		t.track = append(t.track, smf.Event{Delta: longestDelta, Message: smf.Message{0xFF, metaText, 0}})
		t.now += longestDelta
	}
	d := uint32(at - t.now)
	t.now = at
	return d
}

func (t *trackWriter) add(at Tick, message []byte) {
	t.track = append(t.track, smf.Event{Delta: t.delta(at), Message: message})
}

// text adds a meta event of text at the start of the track, unless it is
// empty.
func (t *trackWriter) text(kind byte, text string) {
	if text != "" {
		t.track = append(t.track, smf.Event{Message: smf.MetaUndefined(kind, []byte(text))})
	}
}

func (t *trackWriter) signature(s Signature) {
	power := byte(0)
	for 1<<power < s.Unit {
		power++
	}
	clocks := byte(max(1, 96/s.Unit)) // MIDI clocks a beat: 24 a quarter
	t.add(s.Tick, []byte{0xFF, metaSignature, 4, byte(s.Beats), power, clocks, 8})
}

func (t *trackWriter) close(at Tick) smf.Track {
	delta := t.delta(at)
	t.track.Close(delta)
	return t.track
}
