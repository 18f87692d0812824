package contract

import (
	"time"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/link"
	"choirloft/routing/plan"
)

// Links is what a song sends to the interfaces.
type Links struct {
	Ports []LinkPort `json:"ports"`
	// SpreadMS is that of the chord that all 5-pin links together spread
	// furthest; 0 without any.
	SpreadMS    float64 `json:"spread_ms"`
	SpreadNotes int     `json:"spread_notes"`
	SpreadBar   *string `json:"spread_bar"`
	// Refused says why nothing can be sent: the song cannot be dealt.
	Refused *string `json:"refused"`
}

// LinkPort is one port. But for what it carries, audio links have zeros. USB has
// no share, and is as late as it is at worst: nobody knows when the host asks.
type LinkPort struct {
	Interface   string  `json:"interface"`
	Port        int     `json:"port"`
	Link        string  `json:"link"`
	Messages    int     `json:"messages"`
	Bytes       int     `json:"bytes"`
	Queued      bool    `json:"queued"`
	BusyShare   float64 `json:"busy_share"` // of the song
	LatestMS    float64 `json:"latest_ms"`
	LatestBar   *string `json:"latest_bar"`
	SpreadMS    float64 `json:"spread_ms"`
	SpreadNotes int     `json:"spread_notes"`
	SpreadBar   *string `json:"spread_bar"`
	SetUpMS     float64 `json:"set_up_ms"` // bend ranges and first bends, before the song
	// PacketMS is how far packets of USB are apart, and PacketMessages how many
	// messages one holds for all ports of the interface; 0 of other links.
	PacketMS       float64 `json:"packet_ms"`
	PacketMessages int     `json:"packet_messages"`
	LinkSource     Source  `json:"link_source"`
}

// NewLinks returns what a song sends, or why it cannot be sent.
func NewLinks(p *plan.Plan, song *midi.Song, l *link.Load, refused error) *Links {
	out := &Links{Ports: []LinkPort{}}
	if refused != nil {
		out.Refused = optional(refused.Error())
		return out
	}
	bar := func(mark int) *string {
		if mark == link.NoMark {
			return nil
		}
		return optional(song.Meter.Position(l.Notes[mark].Tick).String())
	}
	for i := range l.Ports {
		x := &l.Ports[i]
		out.Ports = append(out.Ports, LinkPort{Interface: p.Rig.Interfaces[x.Interface].Name, Port: int(x.Port) + 1, Link: x.Link.String(),
			Messages: x.Messages, Bytes: x.Bytes, Queued: x.Link == profiles.DIN, BusyShare: l.Share(x), LatestMS: inMS(x.Late.By), LatestBar: bar(x.Late.Mark),
			SpreadMS: inMS(x.Smear.Spread), SpreadNotes: x.Smear.Notes, SpreadBar: bar(x.Smear.Mark), SetUpMS: inMS(x.SetUp), PacketMS: inMS(x.Every), PacketMessages: x.Events,
			LinkSource: givenSource(p.Rig, "interfaces."+p.Rig.Interfaces[x.Interface].Name+".link")})
	}
	out.SpreadMS, out.SpreadNotes, out.SpreadBar = inMS(l.Smear.Spread), l.Smear.Notes, bar(l.Smear.Mark)
	return out
}

func inMS(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
