package contract

import (
	"fmt"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/profiles/unit"
	"choirloft/routing/deal"
	"choirloft/routing/live"
	"choirloft/routing/plan"
)

// Live is what happened in a session.
type Live struct {
	Version     int     `json:"version"`
	Rig         string  `json:"rig"`
	Fingerprint string  `json:"fingerprint"`
	Summary     string  `json:"summary"`
	LastedS     float64 `json:"lasted_s"`
	Events      int     `json:"events"`
	Takes       int     `json:"takes"`
	Damaged     int     `json:"damaged"`
	Dropped     int     `json:"dropped"`
	LateStart   int     `json:"late_start"`
	HeldCut     int     `json:"held_cut"` // overlaps among them: live nobody knows what a note lost
	PedalCut    int     `json:"pedal_cut"`
	TailCuts    int     `json:"tail_cuts"` // audible, by another key
	Thinned     int     `json:"thinned"`
	Late        int     `json:"late"`
	LatestMS    float64 `json:"latest_ms"`
	Broken      int     `json:"broken"`   // places where bytes were lost on the way in
	LetGo       int     `json:"let_go"`   // channels that were let go for it
	Overruns    int     `json:"overruns"` // writes that an output did not take
	UnsentBytes int     `json:"unsent_bytes"`
	PastBend    int     `json:"past_bend"` // bends beyond the range
	BendRange   int     `json:"bend_range"`
	// Latency: from the return of a read to the call of the write that it led to.
	Measured       int     `json:"measured"`
	LatencyP999MS  float64 `json:"latency_p999_ms"`
	LatencyWorstMS float64 `json:"latency_worst_ms"`
	Log            *string `json:"log"`
	LogFull        bool    `json:"log_full"`
}

// LiveInput is all that is known of a session that has ended.
type LiveInput struct {
	View             live.View
	BendRange        int
	Overruns, Unsent int
	Measured         int
	Latency, Worst   time.Duration
	Log              string
	LogFull          bool
}

// NewLive returns the report of a session.
func NewLive(p *plan.Plan, in LiveInput) *Live {
	c := &in.View.Counts
	ms := func(d time.Duration) float64 { return 1000 * seconds(d) }
	l := &Live{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Rig.Fingerprint(), LastedS: seconds(in.View.At), Events: c.Events, Takes: c.Takes,
		Damaged: c.Damaged(), Dropped: c.Dropped, LateStart: c.LateStarts, HeldCut: c.Held, PedalCut: c.Pedalled, TailCuts: c.Tails, Thinned: c.Thinned, Late: c.Late,
		LatestMS: ms(c.MostLate), Broken: c.Broken, LetGo: c.LetGo, Overruns: in.Overruns, UnsentBytes: in.Unsent, PastBend: c.PastBend,
		BendRange: in.BendRange, Measured: in.Measured, LatencyP999MS: ms(in.Latency), LatencyWorstMS: ms(in.Worst), Log: optional(in.Log), LogFull: in.LogFull}
	l.Summary = fmt.Sprintf("%s: %s long, %s in, %s; %s", label(p.Rig), unit.Clock(l.LastedS), unit.Count(l.Events, "message"), unit.Count(l.Takes, "take"), l.losses())
	return l
}

func (l *Live) losses() string {
	var words []string
	for _, x := range []struct {
		n    int
		what string
	}{{l.Dropped, "dropped"}, {l.LateStart, "begun late"}, {l.HeldCut, "cut while held"}, {l.PedalCut, "cut on the pedal"}} {
		if x.n > 0 {
			words = append(words, fmt.Sprintf("%d %s", x.n, x.what))
		}
	}
	if len(words) == 0 {
		return "no note lost"
	}
	return unit.Count(l.Damaged, "note") + " lost: " + strings.Join(words, ", ")
}

// Lines say the rest.
func (l *Live) Lines() []string {
	var lines []string
	add := func(n int, format string, args ...any) {
		if n > 0 {
			lines = append(lines, fmt.Sprintf(format, args...))
		}
	}
	add(l.TailCuts, "%s cut audibly by another key.", unit.Count(l.TailCuts, "tail"))
	add(l.Thinned, "%s thinned.", unit.Count(l.Thinned, "note"))
	add(l.Late, "%s late, by up to %s ms, where a gate must go low first.", unit.Count(l.Late, "note"), unit.Tenths(l.LatestMS))
	add(l.Broken, "The bytes were broken in %s; %s let go for it, and for inputs that ended.", unit.Count(l.Broken, "place"), unit.Count(l.LetGo, "channel"))
	add(l.Overruns, "%s not taken by an output that did not keep up.", unit.Count(l.Overruns, "write"))
	add(l.UnsentBytes, "%s for outputs that were not there.", unit.Count(l.UnsentBytes, "byte"))
	add(l.PastBend, "%s beyond the range of %s: a larger --bend-range covers them, with coarser steps.", unit.Count(l.PastBend, "bend"), unit.Count(l.BendRange, "semitone"))
	add(l.Measured, "From read to write: 99.9 %% within %.0f µs, at most %.0f µs.", 1000*l.LatencyP999MS, 1000*l.LatencyWorstMS)
	if l.Log != nil {
		line := "Log: " + *l.Log + "; replay plays it again."
		if l.LogFull {
			line = "Log: " + *l.Log + ", which is full: what came last is missing."
		}
		lines = append(lines, line)
	}
	return lines
}

// LivePorts names the ports that voices are on.
func LivePorts(p *plan.Plan) string {
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

// LiveLines are what a monitor shows: a line of totals, and if so wished a line
// of voices for each bank.
func LiveLines(p *plan.Plan, v *live.View, latency time.Duration, voices bool) []string {
	c := &v.Counts
	line := fmt.Sprintf("%s held %d, pedal %d, tails %d; takes %d, lost %d", unit.Clock(seconds(v.At)), v.HeldNow, v.PedalNow, v.TailNow, c.Takes, c.Damaged())
	if c.Late > 0 {
		line += fmt.Sprintf("; late %d, last %s ms", c.Late, unit.Tenths(1000*seconds(c.LastLate)))
	}
	if latency > 0 {
		line += fmt.Sprintf("; read to write %.0f µs", float64(latency)/float64(time.Microsecond))
	}
	if c.Broken > 0 {
		line += fmt.Sprintf("; broken %d", c.Broken)
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
	text := fmt.Sprintf("%s %s (%d) of %s", unit.Clock(seconds(l.At)), KeyName(int(l.Key), middleC), l.Key, p.Rig.Parts[l.Part].Name)
	if l.Voice == int32(alloc.NoVoice) {
		return text + ", dropped"
	}
	if l.State == "late" {
		return text + " on " + p.Rig.Voices[l.Voice].Name + ", begun late"
	}
	return fmt.Sprintf("%s on %s, %s, by %s (%d)", text, p.Rig.Voices[l.Voice].Name, l.State, KeyName(int(l.By), middleC), l.By)
}

// bankLines show each voice: a key that is held, (key) on a pedal, ~ in its tail.
func bankLines(p *plan.Plan, v *live.View) []string {
	var lines []string
	for _, b := range p.Rig.Banks {
		line := fmt.Sprintf("  %-6s", b.Name)
		for i := b.First; i < b.First+b.Size && i < len(v.Voices); i++ {
			cell, key := ".", KeyName(int(v.Voices[i].Key), int(p.Rig.MiddleC))
			switch {
			case !p.Rules.Config.Voices[i].State.InService():
				cell = "x"
			case v.Voices[i].State == alloc.Held:
				cell = key
			case v.Voices[i].State == alloc.Pedal:
				cell = "(" + key + ")"
			case v.Voices[i].State == alloc.Tail:
				cell = "~" + key
			}
			line += fmt.Sprintf(" %-6s", cell)
		}
		lines = append(lines, strings.TrimRight(line, " "))
	}
	return lines
}
