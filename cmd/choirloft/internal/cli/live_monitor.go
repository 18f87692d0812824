package cli

import (
	"fmt"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
	"choirloft/routing/live"
	"choirloft/routing/plan"
)

// livePorts names the ports that voices are on.
func livePorts(p *plan.Plan) string {
	homes, err := deal.Homes(p)
	if err != nil {
		return ""
	}
	var names []string
	voices := map[string][]string{}
	for i, h := range homes {
		if h.Interface < 0 {
			continue
		}
		if voices[h.Device] == nil {
			names = append(names, h.Device)
		}
		voices[h.Device] = append(voices[h.Device], p.Rig.Voices[i].Name)
	}
	for i, name := range names {
		v := voices[name]
		names[i] = fmt.Sprintf("%s (%s to %s)", name, v[0], v[len(v)-1])
	}
	return strings.Join(names, ", ")
}

// liveLines are what a monitor shows: a line of totals, and if so wished a line
// of voices for each bank.
func liveLines(p *plan.Plan, v *live.View, latency time.Duration, stuck []string, voices bool) []string {
	c := &v.Counts
	line := fmt.Sprintf("%s held %d, pedal %d, tails %d; given %d, lost %d", unit.Clock(v.At.Seconds()), v.HeldNow, v.PedalNow, v.TailNow, c.Takes, c.Damaged())
	if c.Late > 0 {
		line += fmt.Sprintf("; late %d, last %s ms", c.Late, unit.Tenths(1000*c.LastLate.Seconds()))
	}
	if c.Waited > 0 {
		line += fmt.Sprintf("; waited %d, last %s ms", c.Waited, unit.Tenths(1000*c.LastWait.Seconds()))
	}
	if c.Clamped > 0 {
		line += fmt.Sprintf("; wrong pitch %d", c.Clamped)
	}
	if latency > 0 {
		line += "; in to out " + unit.Fixed(float64(latency)/float64(time.Microsecond), 0) + " µs"
	}
	if c.Broken > 0 {
		line += fmt.Sprintf("; broken %d", c.Broken)
	}
	for _, s := range stuck {
		line += "; " + s
	}
	lines := []string{line}
	if loss := lastLoss(p, &c.Last); loss != "" || voices {
		lines = append(lines, "last lost: "+or(loss, unit.None))
	}
	if voices {
		lines = append(lines, bankLines(p, v)...)
	}
	return lines
}

func or(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

func lastLoss(p *plan.Plan, l *live.Loss) string {
	if l.State == "" {
		return ""
	}
	middleC := int(p.Rig.MiddleC)
	text := fmt.Sprintf("%s %s (%d) of %s", unit.Clock(l.At.Seconds()), contract.KeyName(int(l.Key), middleC), l.Key, p.Rig.Parts[l.Part].Name)
	if l.Voice == int32(alloc.NoVoice) {
		return text + ", dropped"
	}
	if l.State == "late" {
		return text + " on " + p.Rig.Voices[l.Voice].Name + ", begun late"
	}
	return fmt.Sprintf("%s on %s, %s, by %s (%d)", text, p.Rig.Voices[l.Voice].Name, l.State, contract.KeyName(int(l.By), middleC), l.By)
}

// bankLines show each voice: a key that is held, (key) on a pedal, ~ in its tail.
func bankLines(p *plan.Plan, v *live.View) []string {
	var lines []string
	for _, b := range p.Rig.Banks {
		line := fmt.Sprintf("  %-6s", b.Name)
		for i := b.First; i < b.First+b.Size && i < len(v.Voices); i++ {
			leader, plays := p.LeaderOf(i) // what has one pitch with another does as that does
			now := &v.Voices[leader]
			cell, key := ".", contract.KeyName(int(now.Key), int(p.Rig.MiddleC))
			switch {
			case !plays:
				cell = "x"
			case now.State == alloc.Held:
				cell = key
			case now.State == alloc.Pedal:
				cell = "(" + key + ")"
			case now.State == alloc.Tail:
				cell = "~" + key
			}
			line += fmt.Sprintf(" %-6s", cell)
		}
		lines = append(lines, strings.TrimRight(line, " "))
	}
	return lines
}
