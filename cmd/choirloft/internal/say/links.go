package say

import (
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
	"fmt"
)

// linkLines say what each port carries; of links without a queue, what each
// interface does.
func linkLines(l *contract.Links) (lines []string) {
	if l.Refused != nil {
		return []string{"MIDI connections: nothing is sent, since " + *l.Refused + "."}
	}
	for i := 0; i < len(l.Ports); {
		p, j, messages := &l.Ports[i], i+1, l.Ports[i].Messages
		for ; !p.Queued && j < len(l.Ports) && l.Ports[j].Interface == p.Interface; j++ {
			messages += l.Ports[j].Messages
		}
		if p.Queued {
			lines = append(lines, linkLine(p))
		} else {
			lines = append(lines, fmt.Sprintf("MIDI connection of %s: %s over %s by %s, which has no queue worth counting.",
				p.Interface, unit.Count(messages, "message"), unit.Count(j-i, "port"), p.Link))
		}
		i = j
	}
	if l.SpreadNotes > 0 && len(l.Ports) > 1 {
		lines = append(lines, fmt.Sprintf("Over all 5-pin ports a chord of %d is spread furthest, over %s ms, at %s.", l.SpreadNotes, unit.Tenths(l.SpreadMS), *l.SpreadBar))
	}
	return lines
}

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
