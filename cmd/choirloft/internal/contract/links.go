package contract

import (
	"fmt"
	"time"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
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

// LinkPort is one port. But for what it carries, links without a queue have
// zeros.
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
			SpreadMS: inMS(x.Smear.Spread), SpreadNotes: x.Smear.Notes, SpreadBar: bar(x.Smear.Mark), SetUpMS: inMS(x.SetUp)})
	}
	out.SpreadMS, out.SpreadNotes, out.SpreadBar = inMS(l.Smear.Spread), l.Smear.Notes, bar(l.Smear.Mark)
	return out
}

func inMS(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

// Lines say what each port carries; of links without a queue, what each
// interface does.
func (l *Links) Lines() (lines []string) {
	if l.Refused != nil {
		return []string{"Links: nothing is sent, since " + *l.Refused + "."}
	}
	for i := 0; i < len(l.Ports); {
		p, j, messages := &l.Ports[i], i+1, l.Ports[i].Messages
		for ; !p.Queued && j < len(l.Ports) && l.Ports[j].Interface == p.Interface; j++ {
			messages += l.Ports[j].Messages
		}
		if p.Queued {
			lines = append(lines, p.line())
		} else {
			lines = append(lines, fmt.Sprintf("Link of %s: %s over %s by %s, which has no queue worth counting.",
				p.Interface, unit.Count(messages, "message"), unit.Count(j-i, "port"), p.Link))
		}
		i = j
	}
	if l.SpreadNotes > 0 && len(l.Ports) > 1 {
		lines = append(lines, fmt.Sprintf("Over all 5-pin ports a chord of %d is spread furthest, over %s ms, at %s.", l.SpreadNotes, unit.Tenths(l.SpreadMS), *l.SpreadBar))
	}
	return lines
}

func (p *LinkPort) line() string {
	text := fmt.Sprintf("Link of %s, port %d, 5-pin at 31 250 Bd: %s, busy for %s of the song", p.Interface, p.Port, unit.Count(p.Messages, "message"), unit.Percent(p.BusyShare))
	if p.LatestBar != nil {
		text += fmt.Sprintf("; the latest note comes %s ms late, at %s", unit.Tenths(p.LatestMS), *p.LatestBar)
	}
	if p.SpreadBar != nil {
		text += fmt.Sprintf("; a chord of %d is spread over %s ms, at %s", p.SpreadNotes, unit.Tenths(p.SpreadMS), *p.SpreadBar)
	}
	text += "."
	if p.SetUpMS > 0 {
		text += fmt.Sprintf(" Bend ranges at the start take %s: count in, or the first notes wait.", unit.Span(p.SetUpMS/1000))
	}
	return text
}
