package contract

import (
	"slices"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// Channels is what a song does on each of its channels.
type Channels struct {
	Version  int          `json:"version"`
	Song     string       `json:"song"`
	Summary  string       `json:"summary"`
	Demand   Demand       `json:"demand"` // of all but channel 10; voices are those proposed
	Channels []ChannelUse `json:"channels"`
	Lines    []SongLine   `json:"lines"` // of all channels but 10: each is a proposed part
}

// SongLine is what a proposed part plays.
type SongLine struct {
	Part    string  `json:"part"`
	Port    string  `json:"port"`
	Channel string  `json:"channel"` // of a zone its manager
	Zone    *string `json:"zone"`    // of per-note channels, as a rig has it; null for a channel
	Notes   int     `json:"notes"`
	LowKey  int     `json:"low_key"` // that it plays
	HighKey int     `json:"high_key"`
	Single  bool    `json:"single"` // no two of its notes sound at once
	// FreeKeys are the keys beside it that nothing plays, where it is a side of a split.
	FreeKeys *[2]int `json:"free_keys"`
	SameAs   *string `json:"same_as"` // the part that plays the same notes
}

// ChannelUse is what a song does on one channel. Numbers count from 1.
type ChannelUse struct {
	Port    string  `json:"port"`
	Channel string  `json:"channel"` // of a zone its manager
	Zone    *string `json:"zone"`    // of per-note channels, as a rig has it; null for a channel
	Name    string  `json:"name"`    // of its track
	Notes   int     `json:"notes"`
	LowKey  int     `json:"low_key"`
	HighKey int     `json:"high_key"`
	Held    int     `json:"held"`
	Pedal   int     `json:"pedal"`
	Audible int     `json:"audible"`
	Sustain bool    `json:"sustain"`  // its sustain or sostenuto pedal goes down
	LeftOut bool    `json:"left_out"` // no proposed part plays it: channel 10

	At ChannelAt `json:"-"`
}

// ChannelAt is a channel of a port, both from 0.
type ChannelAt struct {
	Port    midi.Port
	Channel midi.Channel
}

// NewChannels reports what a rig was proposed from.
func NewChannels(file string, p plan.Proposal) *Channels {
	voices := p.Options.Banks * p.Options.Voices
	c := &Channels{Version: Version, Song: file, Channels: []ChannelUse{}, Lines: []SongLine{},
		Demand: newDemand(p.Demand, voices)}
	for i, u := range p.Channels {
		c.Channels = append(c.Channels, ChannelUse{u.Port.String(), u.Channel.String(), zoneOf(&u), p.Names[i], u.Notes,
			int(u.Low), int(u.High), u.Demand.Held, u.Demand.Pedal, u.Demand.Audible, u.Sustain, !slices.ContainsFunc(p.Lines, func(l plan.Line) bool { return l.Port == u.Port && l.Channel == u.Channel }), ChannelAt{u.Port, u.Channel}})
	}
	parts := p.Options.Parts
	for i := range p.Lines {
		l := &p.Lines[i]
		line := SongLine{parts[i].Name, l.Port.String(), l.Channel.String(), zoneOf(&l.ChannelUse), l.Notes, int(l.Low), int(l.High), l.Single(), nil, nil}
		if l.Split() {
			line.FreeKeys = &[2]int{int(l.Free.Low), int(l.Free.High)}
		}
		if l.Twin >= 0 {
			line.SameAs = &parts[l.Twin].Name
		}
		c.Lines = append(c.Lines, line)
	}
	return c
}

// zoneOf is the zone of a use, as a rig has it; nil where it is a channel.
func zoneOf(u *study.ChannelUse) *string {
	if u.PerNote.Members == 0 {
		return nil
	}
	part := profiles.PerNote(u.PerNote)
	return optional(part.Listens())
}
