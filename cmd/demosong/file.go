package main

import (
	"cmp"
	"slices"

	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"
)

// encode returns the song as a Standard MIDI File of format 1: a track with
// the tempo and the time signature, then one for each part. A file can only
// say 833 333 µs a quarter note for 72 a minute, so the song of 53.4 s ends 21
// µs early.
func encode(notes []note) ([]byte, error) {
	file := smf.NewSMF1()
	file.TimeFormat = smf.MetricTicks(division)
	tracks := []smf.Track{conductor()}
	for part := range uint8(parts) {
		tracks = append(tracks, partTrack(part, notes))
	}
	for _, track := range tracks {
		if err := file.Add(track); err != nil {
			return nil, err
		}
	}
	return file.Bytes()
}

// conductor is the first track; it lasts as long as the bars do.
func conductor() smf.Track {
	var track smf.Track
	track.Add(0, smf.MetaTrackSequenceName("Slow Kiln"))
	track.Add(0, smf.MetaTimeSig(4, 4, 24, 8)) // a click each 24 clocks, 8 thirty-seconds a quarter
	track.Add(0, smf.MetaTempo(tempo))
	track.Close(bars * bar)
	return track
}

// partTrack is the track of one part, which ends with its last note.
func partTrack(part uint8, notes []note) smf.Track {
	var track smf.Track
	track.Add(0, smf.MetaTrackSequenceName(partNames[part]))
	now := 0
	for _, m := range messages(part, notes) {
		track.Add(uint32(m.tick-now), m.bytes)
		now = m.tick
	}
	track.Close(0)
	return track
}

type message struct {
	tick  int
	off   bool
	bytes midi.Message
}

// messages returns the note-ons and note-offs of a part by tick, those that
// end before those that start, else in the order of the notes.
func messages(part uint8, notes []note) []message {
	var list []message
	for _, n := range notes {
		if n.part == part {
			list = append(list,
				message{n.start, false, midi.NoteOn(part, n.key, n.velocity)},
				message{n.start + n.length, true, midi.NoteOff(part, n.key)})
		}
	}
	slices.SortStableFunc(list, func(a, b message) int {
		return cmp.Or(cmp.Compare(a.tick, b.tick), order(a)-order(b))
	})
	return list
}

func order(m message) int {
	if m.off {
		return 0
	}
	return 1
}
