package contract

import (
	"fmt"
	"strconv"

	"choirloft/midi"
	"choirloft/profiles/unit"
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
		Demand: Demand{p.Demand.Held, p.Demand.Pedal, p.Demand.Audible, voices}}
	for i, u := range p.Channels {
		c.Channels = append(c.Channels, ChannelUse{u.Port.String(), u.Channel.String(), p.Names[i], u.Notes,
			int(u.Low), int(u.High), u.Demand.Held, u.Demand.Pedal, u.Demand.Audible, u.Sustain})
	}
	c.Summary = fmt.Sprintf("%s: %s with notes; all but channel 10 together want %s at most at once, %d with audible tails.",
		file, unit.Count(len(c.Channels), "channel"), unit.Count(p.Demand.Pedal, "voice"), p.Demand.Audible)
	return c
}

// Table lists the channels.
func (c *Channels) Table() Table {
	t := Table{Columns: []TableColumn{{"Port", 4, true}, {"Ch.", 3, true}, {"Notes", 6, true}, {"Keys", 15, false},
		{"Held", 4, true}, {"Pedal", 5, true}, {"Tails", 5, true}, {"Pedal used", 10, false}, {"Track", 5, false}}}
	for _, u := range c.Channels {
		used := unit.None
		if u.Sustain {
			used = "yes"
		}
		t.add("", u.Port, u.Channel, strconv.Itoa(u.Notes), keyRange(u.LowKey, u.HighKey),
			strconv.Itoa(u.Held), strconv.Itoa(u.Pedal), strconv.Itoa(u.Audible), used, u.Name)
	}
	return t
}

func keyRange(low, high int) string {
	return fmt.Sprintf("%s-%s (%d-%d)", midi.Key(low).Name(4), midi.Key(high).Name(4), low, high)
}
