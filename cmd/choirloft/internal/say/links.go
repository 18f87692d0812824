package say

import (
	"fmt"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// linkLines say what each port of 5-pin carries, and of other links what each
// interface does.
func linkLines(l *contract.Links) (lines []string) {
	if l.Refused != nil {
		return []string{"MIDI connections: nothing is sent, since " + *l.Refused + "."}
	}
	for i := 0; i < len(l.Ports); {
		j := i + 1
		for ; !l.Ports[i].Queued && j < len(l.Ports) && l.Ports[j].Interface == l.Ports[i].Interface; j++ {
		}
		if l.Ports[i].Queued {
			lines = append(lines, linkLine(&l.Ports[i]))
		} else {
			lines = append(lines, cableLine(l.Ports[i:j]))
		}
		i = j
	}
	if l.SpreadNotes > 0 && len(l.Ports) > 1 {
		lines = append(lines, fmt.Sprintf("Over all 5-pin ports a chord of %d is spread furthest, over %s ms, at %s.", l.SpreadNotes, unit.Tenths(l.SpreadMS), *l.SpreadBar))
	}
	return lines
}

// cableLine says what all ports of an interface carry together, by USB or audio.
func cableLine(ports []contract.LinkPort) string {
	p, messages := &ports[0], 0
	latest := p
	for i := range ports {
		messages += ports[i].Messages
		if ports[i].LatestMS > latest.LatestMS {
			latest = &ports[i]
		}
	}
	text := fmt.Sprintf("MIDI connection of %s: %s over %s by %s", p.Interface, unit.Count(messages, "message"), unit.Count(len(ports), "port"), p.Link+ifAssumed(p.LinkSource))
	if p.PacketMessages == 0 {
		return text + ", which has no queue worth counting."
	}
	text += fmt.Sprintf(". Up to %s go in a packet, each %s ms (assumed), so a note comes up to that late", unit.Count(p.PacketMessages, "message"), plainDecimals(p.PacketMS))
	if latest.LatestBar != nil && latest.LatestMS > p.PacketMS {
		text += fmt.Sprintf(", and the latest %s ms, at %s", unit.Tenths(latest.LatestMS), *latest.LatestBar)
	}
	return text + "."
}

// plainDecimals prints a number with no more digits than it has.
func plainDecimals(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func linkLine(p *contract.LinkPort) string {
	text := fmt.Sprintf("MIDI connection of %s, port %d, 5-pin at 31 250 Bd: %s, busy for %s of the song", p.Interface, p.Port, unit.Count(p.Messages, "message"), unit.Percent(p.BusyShare))
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
