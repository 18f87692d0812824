package say

import (
	"fmt"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi"
	"choirloft/profiles/unit"
)

// Channels says what a song does on each of its channels.
func Channels(c *contract.Channels) *doc.Doc {
	d := newDoc("Channels of "+c.Song, "")
	d.Add(doc.Answer{Text: channelSummary(c)})
	d.Under("Channels", channelTable(c))
	d.Under("Parts proposed", doc.Sentences(LineSentences(c)...))
	return d
}

// LineSentences say what of a song became more of a rig than a part a channel.
func LineSentences(c *contract.Channels) []string {
	var all, single, low []string
	for _, l := range c.Lines {
		if l.Zone != nil {
			all = append(all, fmt.Sprintf("%s plays with a channel for each note, so channel is %s.", l.Part, *l.Zone))
		}
		if l.Single {
			single = append(single, l.Part)
		}
		if l.FreeKeys != nil && low == nil {
			low = []string{l.Part}
		} else if l.FreeKeys != nil {
			all = append(all, fmt.Sprintf("Channel %s is split into %s and %s: it plays nothing on %s.",
				l.Channel, low[0], l.Part, keyRange(l.FreeKeys[0], l.FreeKeys[1])))
			low = nil
		}
		if l.SameAs != nil {
			all = append(all, fmt.Sprintf("%s plays the same notes as %s: drop %s and give %s unison: {voices: 2}.",
				l.Part, *l.SameAs, l.Part, *l.SameAs))
		}
	}
	if len(single) == 1 {
		all = append(all, single[0]+" plays one note at a time, so mode is mono last.")
	} else if len(single) > 1 {
		all = append(all, unit.Several(single)+" each play one note at a time, so mode is mono last.")
	}
	for _, u := range c.Channels {
		if u.LeftOut {
			all = append(all, fmt.Sprintf("Channel %s is left out: %s of drums.", u.Channel, unit.Count(u.Notes, "note")))
		}
	}
	return all
}

func channelSummary(c *contract.Channels) string {
	zones := 0
	for _, u := range c.Channels {
		if u.Zone != nil {
			zones++
		}
	}
	what := unit.Count(len(c.Channels)-zones, "channel")
	switch {
	case zones > 0 && zones == len(c.Channels):
		what = unit.Count(zones, "zone")
	case zones > 0:
		what = unit.Count(zones, "zone") + " and " + what
	}
	return fmt.Sprintf("%s: %s with notes; all but channel 10 together need %s at the peak, %d with audible tails.",
		c.Song, what, unit.Count(c.Demand.Pedal, "voice"), c.Demand.Audible)
}

func channelTable(c *contract.Channels) doc.Table {
	t := doc.Table{Columns: []doc.Column{number("port"), number("channel"), number("notes"), words("keys played"),
		number("keys"), number("with pedal"), number("with tails"), words("pedal used").Ranked(1), words("track")}}
	for _, u := range c.Channels {
		used := unit.None
		if u.Sustain {
			used = "yes"
		}
		channel := u.Channel
		if u.Zone != nil {
			channel = *u.Zone
		}
		t.Row("", u.Port, channel, strconv.Itoa(u.Notes), keyRange(u.LowKey, u.HighKey),
			strconv.Itoa(u.Held), strconv.Itoa(u.Pedal), strconv.Itoa(u.Audible), used, u.Name)
	}
	return t
}

func keyRange(low, high int) string {
	return fmt.Sprintf("%s-%s (%d-%d)", midi.Key(low).Name(4), midi.Key(high).Name(4), low, high)
}
