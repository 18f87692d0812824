package contract

import (
	"choirloft/alloc"
	"choirloft/midi"
)

// unmapped lists the channels of note-ons that no part takes, by port and
// channel: "channel 10", or "port 2 channel 10" if the song uses several
// ports.
func unmapped(song *midi.Song, parts []alloc.Part) []string {
	missed := map[int]bool{}
	ports := false
	for _, e := range song.Events {
		ports = ports || e.Port > 0
		if e.Kind() == midi.NoteOn && e.Data2 > 0 && !mapped(parts, e) {
			missed[int(e.Port)<<4|int(e.Channel())] = true
		}
	}
	from := []string{}
	for at := range 128 << 4 {
		if !missed[at] {
			continue
		}
		text := "channel " + midi.Channel(at&15).String()
		if ports {
			text = "port " + midi.Port(at>>4).String() + " " + text
		}
		from = append(from, text)
	}
	return from
}

func mapped(parts []alloc.Part, e midi.Event) bool {
	for i := range parts {
		if takes(&parts[i], e) {
			return true
		}
	}
	return false
}

// takes tells whether a part takes a note-on.
func takes(p *alloc.Part, e midi.Event) bool {
	if !p.Keys.Contains(midi.Key(e.Data1)) || e.Data2 < p.Velocities[0] || e.Data2 > p.Velocities[1] {
		return false
	}
	for _, s := range p.Sources {
		if (s.AnyPort || s.Port == e.Port) && s.Channels>>e.Channel()&1 == 1 {
			return true
		}
	}
	return false
}
