package contract

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// Share prints a share (0–1) in per cent as finely as its size asks for: from
// 1 % on to 0.1 %, below to 0.01 %; 0 as a dash.
func Share(v float64) string {
	switch {
	case v == 0:
		return unit.None
	case v < 0.00005:
		return "<0.01 %"
	}
	return shareDigits(v, v) + " %"
}

// ShareCell prints a share for a table in per cent, which says so itself.
func ShareCell(v float64) string { return strings.TrimSuffix(Share(v), " %") }

// Cell prints a share with its standard error in the same way.
func (p *PlayedCost) Cell() string { return strings.TrimSuffix(p.ShareWithin(), " %") }

// ShareWithin prints a share with its standard error.
func (p *PlayedCost) ShareWithin() string {
	if p.Share < 0.00005 {
		return Share(p.Share)
	}
	return shareDigits(p.Share, p.Share) + " ±" + shareDigits(p.StandardError, p.Share) + " %"
}

// shareDigits prints a share as finely as another one of its size.
func shareDigits(v, size float64) string {
	digits := 1
	if size < 0.00995 {
		digits = 2
	}
	return strconv.FormatFloat(v*100, 'f', digits, 64)
}

// needed is how many voices there must be.
func needed(n *int, curve []EstimatePoint) string {
	if n == nil {
		return "more than " + strconv.Itoa(len(curve))
	}
	return strconv.Itoa(*n)
}

// voicesNeeded is the same with its word.
func voicesNeeded(n *int, curve []EstimatePoint) string {
	if n != nil && *n == 1 {
		return "1 voice"
	}
	return needed(n, curve) + " voices"
}

func levelWords(v float64) string { return strconv.FormatFloat(v*100, 'f', -1, 64) + " %" }

// estimateSummary is the answer in a sentence.
func (e *Estimate) estimateSummary(rig string) string {
	first, last := &e.Enough[0], &e.Enough[len(e.Enough)-1]
	return fmt.Sprintf("%s for %s: in the long run at most %s of the notes damaged; %s for %s. %s has %d in service.",
		voicesNeeded(first.Chords, e.Curve), e.Playing.Text, levelWords(first.AtMost), needed(last.Chords, e.Curve), levelWords(last.AtMost), rig, e.Voices)
}

func (e *Estimate) estimateAdvice(p *plan.Plan) []string {
	var lines []string
	for _, line := range []string{e.ownLine(p), e.tailsLine(), e.serviceLine(), e.loadLine(), e.chordsLine(), e.evenLine(), e.exactLine(), e.asideLine(p)} {
		if line != "" {
			lines = append(lines, line)
		}
	}
	return append(lines, e.playerLine())
}

// ownLine says so where the rig's rules never do what the theory promises.
func (e *Estimate) ownLine(p *plan.Plan) string {
	if e.Enough[0].Own != nil {
		return ""
	}
	why := ""
	if held(p) {
		why = ", as parts have reserves and limits"
	}
	return fmt.Sprintf("But not by the rig's rules: as played not even %d voices are enough for %s%s.", len(e.Curve), levelWords(e.Enough[0].AtMost), why)
}

// held tells whether a part keeps or spares voices.
func held(p *plan.Plan) bool {
	return slices.ContainsFunc(p.Rules.Config.Parts, func(part alloc.Part) bool { return part.Reserve > 0 || part.Limit > 0 })
}

func (e *Estimate) tailsLine() string {
	first, last := &e.Enough[0], &e.Enough[len(e.Enough)-1]
	return fmt.Sprintf("With tails: on %s at most %s of the notes cut anything that can be heard, on %s at most %s, if tails are known.",
		needed(first.Tails, e.Curve), levelWords(first.AtMost), needed(last.Tails, e.Curve), levelWords(last.AtMost))
}

// serviceLine says what the voices in service do.
func (e *Estimate) serviceLine() string {
	at := &e.Curve[e.Voices-1]
	tails := ""
	if at.Own.TailCuts > 0 {
		tails = fmt.Sprintf(", and cut %s of the tails, the loudest at %s", Share(at.Own.TailShare), unit.Level(at.Own.LoudestCutDB))
	}
	most := ""
	if !e.Exact && at.Chords > 0 {
		most = "at most "
	}
	return fmt.Sprintf("On the %s in service stealing the oldest damages %s%s; the rig's rules damage, as played, %s%s.",
		unit.Count(e.Voices, "voice"), most, ofNotes(Share(at.Chords)), ofNotes(at.Own.ShareWithin()), tails)
}

// ofNotes says which share of the notes.
func ofNotes(share string) string {
	if share == unit.None {
		return "no note"
	}
	return share + " of the notes"
}

// loadLine says what is offered, and how the run kept to it.
func (e *Estimate) loadLine() string {
	l := &e.Load
	pedal := ""
	if l.PedalErlang != l.HeldErlang {
		pedal = fmt.Sprintf(", %s E with the pedal", unit.Tenths(l.PedalErlang))
	}
	voices := ""
	if l.AudibleVoices != l.AudibleErlang {
		voices = fmt.Sprintf(" (in unison %s, %s and %s voices)", unit.Tenths(l.HeldVoices), unit.Tenths(l.PedalVoices), unit.Tenths(l.AudibleVoices))
	}
	return fmt.Sprintf("Offered load, notes a second times how long they last: %s E for the keys%s, %s E with every audible tail%s. In the run %s sounded on average; its notes and their lengths say %s (Little's law).",
		unit.Tenths(l.HeldErlang), pedal, unit.Tenths(l.AudibleErlang), voices, unit.Tenths(l.Sounding), unit.Tenths(l.Little))
}

// chordsLine warns of the formulas for single notes.
func (e *Estimate) chordsLine() string {
	chords := slices.ContainsFunc(e.Playing.Layers, func(l EstimateLayer) bool { return l.Most > 1 })
	if !chords {
		return ""
	}
	first := &e.Enough[0]
	return fmt.Sprintf("Chords break what Erlang B and the Poisson tail assume, that notes come one by one: for %s these say %s and %s. Do not buy by them; the column chords counts the notes as they come.",
		levelWords(first.AtMost), needed(first.Refusing, e.Curve), needed(first.Poisson, e.Curve))
}

func (e *Estimate) evenLine() string {
	even := 0
	for i := range e.Playing.Layers {
		if l := &e.Playing.Layers[i]; l.Even {
			even++
			if l.PedalS > 0 {
				even++
			}
		}
	}
	switch {
	case even == 0:
		return ""
	case even == 1:
		return "Even playing is smoother than Erlang B and the Poisson tail assume."
	}
	return "Even playing is smoother than Erlang B and the Poisson tail assume. Layers in time (and the pedal) lock to each other: the column chords takes how they fall together as chance, the run is one such way."
}

func (e *Estimate) exactLine() string {
	if e.Exact {
		return "The column chords is exact for stealing the oldest; no rule that cuts only when it must damages more."
	}
	return "The column chords is here the most that stealing damages, by a rule that cuts only when it must."
}

// asideLine says what the theory leaves aside of this rig.
func (e *Estimate) asideLine(p *plan.Plan) string {
	var aside []string
	add := func(words string) {
		if !slices.Contains(aside, words) {
			aside = append(aside, words)
		}
	}
	if held(p) {
		add("reserves and limits")
	}
	for i := range p.Rules.Config.Parts {
		part := &p.Rules.Config.Parts[i]
		if part.Unison.Voices > 1 && part.Unison.WhenShort != alloc.Blocks {
			add("unisons that " + map[alloc.WhenShort]string{alloc.Thin: "thin", alloc.Wait: "wait", alloc.Elastic: "are elastic"}[part.Unison.WhenShort])
		}
	}
	if n := e.Playing.Player.Restruck; n > 0 {
		add(unit.Count(n, "note") + " that struck a key which still sounded, as there was no other")
	}
	if len(aside) == 0 {
		return ""
	}
	return "The run has, and the theory leaves aside: " + unit.List(aside) + "."
}

// playerLine says who played.
func (e *Estimate) playerLine() string {
	p := &e.Playing.Player
	var parts []string
	for i := range e.Playing.Layers {
		if name := e.Playing.Layers[i].Part; !slices.Contains(parts, name) {
			parts = append(parts, name)
		}
	}
	return fmt.Sprintf("Played: %s of %s at random in %s (%s, seed %d), by the real engine; ± is one standard error.",
		unit.Count(p.Counted, "note"), unit.List(parts), unit.Length(p.LengthS), p.Generator, p.Seed)
}

// Rows chooses the rows of the curve that a page shows.
func (e *Estimate) Rows() []*EstimatePoint {
	wanted := map[int]bool{}
	mark := func(n int) {
		if n >= 1 && n <= len(e.Curve) && len(wanted) < mostRows+2 {
			wanted[n] = true
		}
	}
	mark(e.Voices)
	for i := range e.Enough {
		for _, n := range []*int{e.Enough[i].Chords, e.Enough[i].Tails} {
			if n != nil {
				mark(*n)
			}
		}
	}
	mark(e.Voices + e.bankSize)
	mark(e.Voices - e.bankSize)
	for step := max(1, (len(e.Curve)+mostRows-1)/mostRows); len(wanted) < min(mostRows, len(e.Curve)) && step > 0; step-- {
		for n := step; n <= len(e.Curve); n += step {
			mark(n)
		}
	}
	var rows []*EstimatePoint
	for i := range e.Curve {
		if wanted[e.Curve[i].Voices] {
			rows = append(rows, &e.Curve[i])
		}
	}
	return rows
}

// Mark says what a row of the curve stands for.
func (e *Estimate) Mark(p *EstimatePoint) string {
	var words []string
	for i := range e.Enough {
		n := &e.Enough[i]
		for _, m := range []struct {
			n    *int
			what string
		}{{n.Chords, levelWords(n.AtMost)}, {n.Tails, levelWords(n.AtMost) + " tails"}} {
			if m.n != nil && *m.n == p.Voices {
				words = append(words, m.what)
			}
		}
	}
	if p.Voices == e.Voices {
		words = append(words, "in service")
	}
	return strings.Join(words, ", ")
}
