package contract

import (
	"choirloft/routing/deal"
)

// CV is a file of control voltages.
type CV struct {
	Version     int          `json:"version"`
	Rig         string       `json:"rig"`
	Fingerprint string       `json:"fingerprint"`
	Summary     string       `json:"summary"`
	Caution     string       `json:"caution"`
	File        string       `json:"file"`
	Sheet       string       `json:"sheet"` // the text beside it
	Bytes       int64        `json:"bytes"`
	RF64        bool         `json:"rf64"`
	Rate        int          `json:"frames_per_s"`
	Samples     string       `json:"samples"` // 24 bit, float 32 bit
	Frames      int64        `json:"frames"`
	LengthS     float64      `json:"length_s"`
	Channels    []CVChannel  `json:"channels"`
	Still       []string     `json:"still"` // lanes that nothing in the song moves, without a channel
	Early       []EarlyVoice `json:"early"` // voices that answer late, and so are started before their notes
	Result      *Result      `json:"result"`
	Findings    []Finding    `json:"findings"`
	MiddleC     int          `json:"middle_c"` // the octave of key 60
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
	out := &CV{Version: Version, Rig: rig.Name, Fingerprint: c.Plan.Code(), Caution: deal.Caution, File: file, Sheet: sheet, Bytes: c.Bytes(),
		RF64: c.Large(), Rate: c.Rate, Samples: "24 bit", Frames: c.Frames, LengthS: float64(c.Frames) / float64(c.Rate), Channels: []CVChannel{},
		Still: append([]string{}, c.Still...), Early: earlyVoices(c.Plan), Result: NewResult(c.Plan, song, c.Song, c.Replay), Findings: newFindings(c.Plan.Findings), MiddleC: int(rig.MiddleC)}
	if c.Float {
		out.Samples = "float 32 bit"
	}
	for i := range c.Channels {
		ch := &c.Channels[i]
		f := &rig.Interfaces[ch.Interface]
		out.Channels = append(out.Channels, CVChannel{i + 1, ch.Name, f.Name, jackKind(ch.Outlet.GateJack, f.Outputs > 0), ch.Outlet.Jack,
			float64(ch.Low), float64(ch.High), float64(ch.Full)})
	}
	return out
}
