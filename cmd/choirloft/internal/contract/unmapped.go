package contract

import (
	"maps"
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
)

// UnmappedKeys are keys of a channel of which no part takes a note, or not every
// one: a part may want other velocities.
type UnmappedKeys struct {
	Channel string `json:"channel"` // with its port, where a song uses several
	Whole   bool   `json:"whole"`   // no part takes any note of the channel
	Notes   int    `json:"notes"`   // that no part takes
	LowKey  int    `json:"low_key"`
	HighKey int    `json:"high_key"`
}

// heard counts the note-ons of a channel by key.
type heard struct {
	missed [128]int
	taken  [128]bool
	any    bool // is taken
}

// unmapped lists the channels of note-ons that no part takes, by port and
// channel: "channel 10", or "port 2 channel 10" if the song uses several
// ports. Keys are the same with the runs of keys between those that parts take.
func unmapped(song *midi.Song, parts []alloc.Part) (from []string, keys []UnmappedKeys) {
	channels := map[int]*heard{}
	ports := false
	for _, e := range song.Events {
		ports = ports || e.Port > 0
		if e.Kind() != midi.NoteOn || e.Data2 == 0 {
			continue
		}
		at := int(e.Port)<<4 | int(e.Channel())
		if channels[at] == nil {
			channels[at] = &heard{}
		}
		if h := channels[at]; mapped(parts, e) {
			h.taken[e.Data1], h.any = true, true
		} else {
			h.missed[e.Data1]++
		}
	}
	from, keys = []string{}, []UnmappedKeys{}
	for _, at := range slices.Sorted(maps.Keys(channels)) {
		text := "channel " + midi.Channel(at&15).String()
		if ports {
			text = "port " + midi.Port(at>>4).String() + " " + text
		}
		if runs := channels[at].runs(text); len(runs) > 0 {
			from, keys = append(from, text), append(keys, runs...)
		}
	}
	return from, keys
}

func (h *heard) runs(channel string) (runs []UnmappedKeys) {
	within := false
	for key, n := range h.missed {
		switch {
		case n > 0 && within:
			last := &runs[len(runs)-1]
			last.Notes, last.HighKey = last.Notes+n, key
		case n > 0:
			runs, within = append(runs, UnmappedKeys{channel, !h.any, n, key, key}), true
		case h.taken[key]:
			within = false
		}
	}
	return runs
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
