package study

import (
	"cmp"
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// ChannelUse is what a song does on one channel of a port, or in a zone.
type ChannelUse struct {
	Port    midi.Port
	Channel midi.Channel // of a zone its manager
	PerNote midi.Zone    // the zone; without members where it is a channel
	Notes   int          // note-ons, at least 1
	Low     midi.Key     // the lowest key
	High    midi.Key     // the highest key
	Demand  Demand       // peaks of this channel alone
	Sustain bool         // its sustain or sostenuto pedal goes down
	Played  []Note       // its notes, by start
}

// Within is what the channel does on some of its keys; Notes is 0 where that is
// nothing.
func (u ChannelUse) Within(keys alloc.KeyRange) ChannelUse {
	var played []Note
	for _, n := range u.Played {
		if keys.Contains(n.Key) {
			played = append(played, n)
		}
	}
	return u.of(played)
}

// of counts notes of the channel.
func (u ChannelUse) of(played []Note) ChannelUse {
	u.Played, u.Notes, u.Low, u.High = played, len(played), 127, 0
	var gates [3][]Interval // held, with the pedal, audible
	for _, n := range played {
		u.Low, u.High = min(u.Low, n.Key), max(u.High, n.Key)
		for i, end := range [...]time.Duration{n.KeyUp, n.End, n.TailEnd} {
			gates[i] = append(gates[i], Interval{n.Start, end})
		}
	}
	u.Demand = Demand{Held: Peak(gates[0]), Pedal: Peak(gates[1]), Audible: Peak(gates[2])}
	return u
}

// Channels lists what a song does on each channel that has notes, and in each of
// these zones, by port and channel: as a part of its own would hear it, poly, one
// voice a note. The steps are those of whoever plays the zones. The envelopes of the voices in service, the minimum gate and the audible limit
// are those of the rules, whose parts do not matter.
func Channels(r Rules, p Performance, zones ...midi.Zone) []ChannelUse {
	uses := channelsWithNotes(p.Steps, zones)
	banks := everyBank(r.Config)
	r.Config.Parts = make([]alloc.Part, len(uses))
	for i, u := range uses {
		r.Config.Parts[i] = alloc.Part{
			Keys:       alloc.KeyRange{High: 127},
			Velocities: [2]uint8{1, 127},
			Banks:      banks,
		}
		if u.PerNote.Members > 0 {
			r.Config.Parts[i].Zones = []midi.Zone{{Port: u.Port, Upper: u.PerNote.Upper, Members: u.PerNote.Members}}
		} else {
			r.Config.Parts[i].Sources = []alloc.Source{{Port: u.Port, Channels: 1 << u.Channel}}
		}
	}
	played := make([][]Note, len(uses))
	for _, n := range NewReference(r, p).Notes {
		played[n.Part] = append(played[n.Part], n)
	}
	for i := range uses {
		uses[i] = uses[i].of(played[i])
	}
	return uses
}

// channelsWithNotes lists the channels and zones that have note-ons, and whether a
// pedal goes down there.
func channelsWithNotes(steps []midi.Step, zones []midi.Zone) []ChannelUse {
	type place struct {
		port    midi.Port
		channel midi.Channel
	}
	notes, pedals := map[place]bool{}, map[place]bool{}
	layout := midi.NewZones(zones)
	for i := range steps {
		s := &steps[i]
		at := place{s.Port, s.Channel}
		if manager, ok := layout.On(s.Port).Manager(s.Channel); ok {
			at.channel = manager
		}
		switch s.Kind {
		case midi.StepNoteOn:
			notes[at] = true
		case midi.StepSustain, midi.StepSostenuto:
			pedals[at] = pedals[at] || s.Down()
		}
	}
	var uses []ChannelUse
	for at := range notes {
		u := ChannelUse{Port: at.port, Channel: at.channel, Sustain: pedals[at]}
		for _, z := range zones {
			if (z.AnyPort || z.Port == at.port) && z.Manager() == at.channel {
				u.PerNote = z
			}
		}
		uses = append(uses, u)
	}
	slices.SortFunc(uses, func(a, b ChannelUse) int {
		return cmp.Or(cmp.Compare(a.Port, b.Port), cmp.Compare(a.Channel, b.Channel))
	})
	return uses
}
