package study

import (
	"cmp"
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
)

// ChannelUse is what a song does on one channel of a port.
type ChannelUse struct {
	Port    midi.Port
	Channel midi.Channel
	Notes   int      // note-ons, at least 1
	Low     midi.Key // the lowest key
	High    midi.Key // the highest key
	Demand  Demand   // peaks of this channel alone
	Sustain bool     // its sustain or sostenuto pedal goes down
}

// Channels lists what a song does on each channel that has notes, by port and
// channel: as a part of its own would hear it, poly, one voice a note. The
// envelopes of the voices in service, the minimum gate and the audible limit
// are those of the rules, whose parts do not matter.
func Channels(r Rules, p Performance) []ChannelUse {
	uses := channelsWithNotes(p.Steps)
	banks := everyBank(r.Config)
	r.Config.Parts = make([]alloc.Part, len(uses))
	for i, u := range uses {
		r.Config.Parts[i] = alloc.Part{
			Sources:    []alloc.Source{{Port: u.Port, Channels: 1 << u.Channel}},
			Keys:       alloc.KeyRange{High: 127},
			Velocities: [2]uint8{1, 127},
			Banks:      banks,
		}
	}
	gates := make([][3][]Interval, len(uses)) // held, with the pedal, audible
	for _, n := range NewReference(r, p).Notes {
		u := &uses[n.Part]
		if u.Notes == 0 {
			u.Low, u.High = n.Key, n.Key
		}
		u.Notes++
		u.Low, u.High = min(u.Low, n.Key), max(u.High, n.Key)
		g := &gates[n.Part]
		g[0] = append(g[0], Interval{n.Start, n.KeyUp})
		g[1] = append(g[1], Interval{n.Start, n.End})
		g[2] = append(g[2], Interval{n.Start, n.TailEnd})
	}
	for i := range uses {
		uses[i].Demand = Demand{Held: Peak(gates[i][0]), Pedal: Peak(gates[i][1]), Audible: Peak(gates[i][2])}
	}
	return uses
}

// channelsWithNotes lists the channels that have note-ons, and whether a pedal
// goes down there.
func channelsWithNotes(steps []midi.Step) []ChannelUse {
	type place struct {
		port    midi.Port
		channel midi.Channel
	}
	notes, pedals := map[place]bool{}, map[place]bool{}
	for i := range steps {
		s := &steps[i]
		at := place{s.Port, s.Channel}
		switch s.Kind {
		case midi.StepNoteOn:
			notes[at] = true
		case midi.StepSustain, midi.StepSostenuto:
			pedals[at] = pedals[at] || s.Down()
		}
	}
	var uses []ChannelUse
	for at := range notes {
		uses = append(uses, ChannelUse{Port: at.port, Channel: at.channel, Sustain: pedals[at]})
	}
	slices.SortFunc(uses, func(a, b ChannelUse) int {
		return cmp.Or(cmp.Compare(a.Port, b.Port), cmp.Compare(a.Channel, b.Channel))
	})
	return uses
}
