package contract

import (
	"fmt"

	"choirloft/profiles/unit"
	"choirloft/routing/deal"
)

// CV is a file of control voltages.
type CV struct {
	Version     int         `json:"version"`
	Rig         string      `json:"rig"`
	Fingerprint string      `json:"fingerprint"`
	Summary     string      `json:"summary"`
	Caution     string      `json:"caution"`
	File        string      `json:"file"`
	Sheet       string      `json:"sheet"` // the text beside it
	Bytes       int64       `json:"bytes"`
	RF64        bool        `json:"rf64"`
	Rate        int         `json:"frames_per_s"`
	Samples     string      `json:"samples"` // 24 bit, float 32 bit
	Frames      int64       `json:"frames"`
	LengthS     float64     `json:"length_s"`
	Channels    []CVChannel `json:"channels"`
	Still       []string    `json:"still"` // lanes that nothing in the song moves, without a channel
	Result      *Result     `json:"result"`
	Findings    []Finding   `json:"findings"`
}

// CVChannel is one channel of the file.
type CVChannel struct {
	Channel   int     `json:"channel"` // from 1
	Name      string  `json:"name"`
	Interface string  `json:"interface"`
	Kind      string  `json:"kind"` // of the jack: cv, gate, output
	Jack      int     `json:"jack"`
	Low       float64 `json:"low_volts"`
	High      float64 `json:"high_volts"`
	Full      float64 `json:"full_scale_volts"`
}

// NewCV returns the report of a file of control voltages.
func NewCV(c *deal.CV, song, file, sheet string) *CV {
	rig := c.Plan.Rig
	out := &CV{Version: Version, Rig: rig.Name, Fingerprint: rig.Fingerprint(), Caution: deal.Caution, File: file, Sheet: sheet, Bytes: c.Bytes(),
		RF64: c.Large(), Rate: c.Rate, Samples: "24 bit", Frames: c.Frames, LengthS: float64(c.Frames) / float64(c.Rate), Channels: []CVChannel{},
		Still: append([]string{}, c.Still...), Result: NewResult(c.Plan, song, c.Song, c.Replay), Findings: newFindings(c.Plan.Findings)}
	if c.Float {
		out.Samples = "float 32 bit"
	}
	for i := range c.Channels {
		ch := &c.Channels[i]
		f := &rig.Interfaces[ch.Interface]
		out.Channels = append(out.Channels, CVChannel{i + 1, ch.Name, f.Name, jackKind(ch.Outlet.GateJack, f.Outputs > 0), ch.Outlet.Jack,
			float64(ch.Low), float64(ch.High), float64(ch.Full)})
	}
	out.Summary = fmt.Sprintf("%s: %s for %s, %s of %d frames a second, %s.", file, unit.Count(len(out.Channels), "channel"),
		label(rig), unit.Length(out.LengthS), out.Rate, out.Samples)
	return out
}

// ChannelTable is a row a channel.
func (c *CV) ChannelTable() Table {
	t := Table{Columns: []TableColumn{{Head: "Channel", Width: 7, Right: true}, {Head: "Lane", Width: 16}, {Head: "Jack", Width: 20},
		{Head: "From", Width: 9, Right: true}, {Head: "To", Width: 9, Right: true}, {Head: "Full scale", Width: 10, Right: true}}}
	volts := func(v float64) string { return fmt.Sprintf("%.3f V", v) }
	for _, x := range c.Channels {
		t.add("", fmt.Sprint(x.Channel), x.Name, fmt.Sprintf("%s %s %d", x.Interface, x.Kind, x.Jack), volts(x.Low), volts(x.High), volts(x.Full))
	}
	return t
}

// Rest says what has no channel, and where the names are.
func (c *CV) Rest() []string {
	var lines []string
	if len(c.Still) > 0 {
		lines = append(lines, "Without a channel, since nothing in the song moves them: "+unit.Several(c.Still)+".")
	}
	if c.RF64 {
		lines = append(lines, "It is longer than 4 GiB, so it is RF64.")
	}
	return lines
}
