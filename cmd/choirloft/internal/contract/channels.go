package contract

import (
	"choirloft/routing/plan"
)

// Channels is what a song does on each of its channels.
type Channels struct {
	Version  int          `json:"version"`
	Song     string       `json:"song"`
	Summary  string       `json:"summary"`
	Demand   Demand       `json:"demand"` // of all but channel 10; voices are those proposed
	Channels []ChannelUse `json:"channels"`
}

// ChannelUse is what a song does on one channel. Numbers count from 1.
type ChannelUse struct {
	Port    string `json:"port"`
	Channel string `json:"channel"`
	Name    string `json:"name"` // of its track
	Notes   int    `json:"notes"`
	LowKey  int    `json:"low_key"`
	HighKey int    `json:"high_key"`
	Held    int    `json:"held"`
	Pedal   int    `json:"pedal"`
	Audible int    `json:"audible"`
	Sustain bool   `json:"sustain"` // its sustain or sostenuto pedal goes down
}

// NewChannels reports what a rig was proposed from.
func NewChannels(file string, p plan.Proposal) *Channels {
	voices := p.Options.Banks * p.Options.Voices
	c := &Channels{Version: Version, Song: file, Channels: []ChannelUse{},
		Demand: newDemand(p.Demand, voices)}
	for i, u := range p.Channels {
		c.Channels = append(c.Channels, ChannelUse{u.Port.String(), u.Channel.String(), p.Names[i], u.Notes,
			int(u.Low), int(u.High), u.Demand.Held, u.Demand.Pedal, u.Demand.Audible, u.Sustain})
	}
	return c
}
