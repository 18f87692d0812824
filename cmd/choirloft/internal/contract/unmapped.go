package contract

import (
	"maps"
	"slices"
	"strings"

	"choirloft/alloc"
	"choirloft/midi"
)

// UnmappedKeys are keys of a channel of which no part takes a note, or not every
// one: a part may want other velocities.
type UnmappedKeys struct {
	Channel string `json:"channel"` // with its port, where a song uses several
	Whole   bool   `json:"whole"`   // no part listens to the channel
	Notes   int    `json:"notes"`   // that no part takes
	LowKey  int    `json:"low_key"`
	HighKey int    `json:"high_key"`
}

// DrumsAlone tells whether the notes that no part plays are all of channel 10, which
// has drums as a rule.
func DrumsAlone(list []UnmappedKeys) bool {
	return len(list) > 0 && !slices.ContainsFunc(list, func(u UnmappedKeys) bool { return !u.Whole || !strings.HasSuffix(u.Channel, "channel 10") })
}

// channelKeys counts the note-ons of a channel by key.
type channelKeys struct {
	missed [128]int
	taken  [128]bool
	heard  bool // by a part, whichever keys it takes
}

// unmapped lists the channels of note-ons that no part takes, by port and
// channel: "channel 10", or "port 2 channel 10" if the song uses several
// ports. Keys are the same with the runs of keys between those that parts take.
func unmapped(steps []midi.Step, parts []alloc.Part) (from []string, keys []UnmappedKeys) {
	channels := map[int]*channelKeys{}
	ports := slices.ContainsFunc(steps, func(s midi.Step) bool { return s.Port > 0 })
	eachOn(steps, parts, func(s *midi.Step, heard, taken bool) {
		at := int(s.Port)<<4 | int(s.Channel)
		if channels[at] == nil {
			channels[at] = &channelKeys{}
		}
		c := channels[at]
		if c.heard = c.heard || heard; taken {
			c.taken[s.Key] = true
		} else {
			c.missed[s.Key]++
		}
	})
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

// eachOn tells of every note-on whether a part listens to its channel, and whether one
// takes it.
func eachOn(steps []midi.Step, parts []alloc.Part, visit func(s *midi.Step, heard, taken bool)) {
	zones := midi.NewZones(alloc.ZonesOf(parts))
	for i := range steps {
		s := &steps[i]
		switch s.Kind {
		case midi.StepZone:
			zones.Set(s.Port, s.Channel, int(s.Value))
		case midi.StepNoteOn:
			hears := func(p alloc.Part) bool { return p.Hears(s.Port, s.Channel, zones.On(s.Port)) }
			takes := func(p alloc.Part) bool { return p.Takes(s, zones.On(s.Port)) }
			visit(s, slices.ContainsFunc(parts, hears), slices.ContainsFunc(parts, takes))
		}
	}
}

func (c *channelKeys) runs(channel string) (runs []UnmappedKeys) {
	within := false
	for key, n := range c.missed {
		switch {
		case n > 0 && within:
			last := &runs[len(runs)-1]
			last.Notes, last.HighKey = last.Notes+n, key
		case n > 0:
			runs, within = append(runs, UnmappedKeys{channel, !c.heard, n, key, key}), true
		case c.taken[key]:
			within = false
		}
	}
	return runs
}
