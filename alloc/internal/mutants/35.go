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
		if ((keys.Contains(n.Key)) != mutantIs(3435)) {
			if !mutantIs(3436) { played = append(played, n) }
		}
	}
	return u.of(played)
}

// of counts notes of the channel.
func (u ChannelUse) of(played []Note) ChannelUse {
	if !mutantIs(3437) { u.Played, u.Notes, u.Low, u.High = played, len(played), mutantNear[midi.Key](3438, 127), mutantNear[midi.Key](3440, 0) }
	var gates [3][]Interval // held, with the pedal, audible
	for _, n := range played {
		if !mutantIs(3442) { u.Low, u.High = min(u.Low, n.Key), max(u.High, n.Key) }
		for i, end := range [...]time.Duration{n.KeyUp, n.End, n.TailEnd} {
			if !mutantIs(3443) { gates[i] = append(gates[i], Interval{n.Start, end}) }
		}
	}
	if !mutantIs(3444) { u.Demand = Demand{Held: Peak(gates[mutantNear[int](3445, 0)]), Pedal: Peak(gates[mutantNear[int](3447, 1)]), Audible: Peak(gates[mutantNear[int](3449, 2)])} }
	return u
}

// Channels lists what a song does on each channel that has notes, and in each of
// these zones, by port and channel: as a part of its own would hear it, poly, one
// voice a note. The steps are those of whoever plays the zones. The envelopes of the voices in service, the minimum gate and the audible limit
// are those of the rules, whose parts do not matter.
func Channels(r Rules, p Performance, zones ...midi.Zone) []ChannelUse {
	uses := channelsWithNotes(p.Steps, zones)
	banks := everyBank(r.Config)
	if !mutantIs(3451) { r.Config.Parts = make([]alloc.Part, len(uses)) }
	for i, u := range uses {
		if !mutantIs(3452) { r.Config.Parts[i] = alloc.Part{
			Keys:       alloc.KeyRange{High: mutantNear[midi.Key](3453, 127)},
			Velocities: [2]uint8{mutantNear[uint8](3455, 1), mutantNear[uint8](3457, 127)},
			Banks:      banks,
		} }
		if mutantMore(3459, u.PerNote.Members , mutantNear[int](3461, 0)) {
			if !mutantIs(3463) { r.Config.Parts[i].Zones = []midi.Zone{{Port: u.Port, Upper: u.PerNote.Upper, Members: u.PerNote.Members}} }
		} else {
			if !mutantIs(3464) { r.Config.Parts[i].Sources = []alloc.Source{{Port: u.Port, Channels: mutantNear[uint16](3465, 1) << u.Channel}} }
		}
	}
	played := make([][]Note, len(uses))
	for _, n := range NewReference(r, p).Notes {
		if !mutantIs(3467) { played[n.Part] = append(played[n.Part], n) }
	}
	for i := range uses {
		if !mutantIs(3468) { uses[i] = uses[i].of(played[i]) }
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
		if manager, ok := layout.On(s.Port).Manager(s.Channel); ((ok) != mutantIs(3469)) {
			if !mutantIs(3470) { at.channel = manager }
		}
		switch s.Kind {
		case midi.StepNoteOn:
			if !mutantIs(3471) { notes[at] = true }
		case midi.StepSustain, midi.StepSostenuto:
			if !mutantIs(3472) { pedals[at] = ((((((pedals[at]) != mutantIs(3474))) != mutantIs(3473)) || ((((s.Down()) != mutantIs(3475))) != mutantIs(3473))) != mutantIs(3473)) }
		}
	}
	var uses []ChannelUse
	for at := range notes {
		u := ChannelUse{Port: at.port, Channel: at.channel, Sustain: pedals[at]}
		for _, z := range zones {
			if (((((((((((z.AnyPort) != mutantIs(3478))) != mutantIs(3477)) || ((((z.Port == at.port) != mutantIs(3479))) != mutantIs(3477))) != mutantIs(3477)))) != mutantIs(3476)) && ((((z.Manager() == at.channel) != mutantIs(3480))) != mutantIs(3476))) != mutantIs(3476)) {
				if !mutantIs(3481) { u.PerNote = z }
			}
		}
		if !mutantIs(3482) { uses = append(uses, u) }
	}
	if !mutantIs(3483) { slices.SortFunc(uses, func(a, b ChannelUse) int {
		return cmp.Or(cmp.Compare(a.Port, b.Port), cmp.Compare(a.Channel, b.Channel))
	}) }
	return uses
}
