package say

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// demandLine sets the peak against the voices. A screen has it in the head and in
// the table.
func (r result) demandLine(room Room) string {
	if room == Screen {
		return ""
	}
	d := &r.Demand
	return fmt.Sprintf("Peak: %s for keys, %d with the pedal, %d with audible tails; %d in service.",
		unit.Count(d.Held, "voice"), d.Pedal, d.Audible, d.Voices)
}

// Rules are those by which a song was played, in a line.
func Rules(v *contract.Replay) string { return strings.Join(resultOf(v).ruleLines(), ". ") }

// ruleLines says on what and by which rules the parts play: one line for
// parts that agree.
func (r result) ruleLines() []string {
	if r.Dealt {
		return []string{"Every voice plays what it was dealt, on its own channel"}
	}
	var rules []string
	parts := map[string][]string{}
	for i := range r.Parts {
		p := &r.Parts[i]
		text := partRules(p)
		if _, ok := parts[text]; !ok {
			rules = append(rules, text)
		}
		parts[text] = append(parts[text], p.Name)
	}
	for i, text := range rules {
		who := "Part "
		if len(parts[text]) > 1 {
			who = "Parts "
		}
		rules[i] = who + unit.List(parts[text]) + " " + text
	}
	return rules
}

func partRules(p *contract.Part) string {
	text := fmt.Sprintf("on %s (%s): pick %s, steal %s, %s, %s", bankList(p), unit.Count(p.Voices, "voice"), p.Pick, p.Steal, Hearing(p.Tails), p.SameKey)
	if !p.ClassOrder {
		text += ", tails, sustained and held notes alike"
	}
	return text + player(p)
}

// player says what a part has beyond chords of one voice a note.
func player(p *contract.Part) string {
	text := ""
	if p.Mode != "poly" {
		text += ", " + p.Mode
		if p.Reattack != "none" {
			text += ", retriggered on " + p.Reattack
		}
	}
	if p.Unison.Voices > 1 {
		text += fmt.Sprintf(", unison of %d (%s)", p.Unison.Voices, p.Unison.WhenShort)
	}
	if p.Reserve > 0 {
		text += fmt.Sprintf(", %d reserved", p.Reserve)
	}
	if p.Limit != nil {
		text += fmt.Sprintf(", at most %d", *p.Limit)
	}
	if p.Priority != 1 {
		text += fmt.Sprintf(", priority %d", p.Priority)
	}
	return text
}

// flagLines says what is odd about the song or about how it was played, each
// in a line; what did not happen has none.
func (r result) flagLines() []string {
	f := &r.Flags
	var lines []string
	add := func(n int, what, rest string) {
		if n > 0 {
			lines = append(lines, unit.Count(n, what)+" "+rest)
		}
	}
	add(f.Swallowed, "note", "swallowed by the previous note's note-off on the same key: "+r.bars("swallowed", 8))
	add(f.Late-r.Waited, "note", "late, by up to "+unit.Span(r.LatestGapS)+", where a gate must go low first")
	add(r.Waited, "note", "late, by up to "+unit.Span(r.LongestWaitS)+", waiting for the voices of a unison: "+r.bars("waited", 8))
	add(f.Stuck, "note", "stuck: no note-off, held to the end of the song: from "+r.bars("stuck", 8))
	add(f.Orphan, "lone note-off", "with no note to end, ignored")
	add(f.ZeroLength, "note", "of no length, held for the shortest gate: "+r.bars("zero_length", 8))
	add(f.Thinned, "note", r.thinnest())
	add(f.Repitched, "note", "repitched: the tail went on at the pitch of the next note: "+r.bars("repitched", 8))
	add(f.TooLong, "note", "too long, by up to "+unit.Span(r.longest())+", by a gate that others held: "+r.bars("too_long", 8))
	return lines
}

// longest is by how much the note sounded too long that did so most, in seconds.
func (r result) longest() (most float64) {
	for i := range r.Marks {
		if m := &r.Marks[i]; m.Flag == "too_long" {
			most = max(most, *m.Value)
		}
	}
	return most
}

// rangeLines say by how much notes miss their pitch, a line a part.
func (r result) rangeLines() (lines []string) {
	for i := range r.Parts {
		if line := r.clampLine(&r.Parts[i]); line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// thinnest says how the note was thinned that lost most, and where notes were.
func (r result) thinnest() string {
	var worst *contract.Mark
	for i := range r.Marks {
		if m := &r.Marks[i]; m.Flag == "thinned" && (worst == nil || *m.Value < *worst.Value) {
			worst = m
		}
	}
	if worst == nil {
		return ""
	}
	return fmt.Sprintf("thinned, at most to %d of %d (%s): %s", *worst.Voices, *worst.Of, unit.Level(worst.Value), r.bars("thinned", 8))
}

// lossLine introduces the first n losses.
func (r result) lossLine(n int) string {
	own, cured := "", 0
	for i := range r.Losses {
		if !r.Losses[i].WrongPitch() {
			cured++
		}
	}
	if n := r.Endings[study.TailCutOwnKey]; n > 0 && r.Heard == nil {
		own = fmt.Sprintf(", %s cut by its own note", unit.Count(n, "tail"))
		if n > 1 {
			own = fmt.Sprintf(", %d of them tails cut by their own note", n)
		}
	}
	switch {
	case cured == 0 && n == 0:
		return fmt.Sprintf("Nothing goes missing but pitch (%s shows each note).", r.rest)
	case cured == 0:
		return "Nothing goes missing but pitch:"
	case r.Heard != nil && !r.lossHeard() && n == 0:
		return fmt.Sprintf("You would hear none of %s (%s shows them all).", losses(cured), r.rest)
	case r.Heard != nil && !r.lossHeard():
		return fmt.Sprintf("You would hear none of %s:", losses(cured))
	case len(r.Losses) <= n:
		return "All of them, the worst first" + own + ":"
	case r.Heard != nil && *r.Heard.Faint == 0: // of several together alone
		return fmt.Sprintf("The worst %d of %s (%s shows them all):", n, losses(cured), r.rest)
	case r.Heard != nil && n > *r.Heard.Faint:
		return fmt.Sprintf("The worst %d of %s; you would hear %d of them (%s shows all):", n, losses(cured), *r.Heard.Faint, r.rest)
	case r.Heard != nil && n == *r.Heard.Faint:
		return fmt.Sprintf("%s that you would hear, the worst first (%s shows %d more):", upper(losses(*r.Heard.Faint)), r.rest, cured-*r.Heard.Faint)
	case r.Heard != nil:
		return fmt.Sprintf("The worst %d of %s that you would hear (%s shows all):", min(n, *r.Heard.Faint), losses(*r.Heard.Faint), r.rest)
	}
	return fmt.Sprintf("The worst %d of %s%s (%s shows them all):", n, losses(cured), own, r.rest)
}

// lossKey names the key and, for the bass or the top of a chord, says so.
func lossKey(l *contract.Loss) string {
	text := fmt.Sprintf("%s (%d)", l.KeyName, l.Key)
	if l.Outer {
		text += " outer"
	}
	return text
}

// lossTaker names the note that took the voice.
func lossTaker(l *contract.Loss) string {
	if l.ByKey == nil {
		return unit.None
	}
	by := fmt.Sprintf("%s (%d)", *l.ByKeyName, *l.ByKey)
	if *l.ByPart != l.Part {
		by += " " + *l.ByPart
	}
	return by
}

// lossVoice names the voice.
func lossVoice(l *contract.Loss) string {
	if l.VoiceName == nil {
		return unit.None
	}
	return *l.VoiceName
}

// restLine names the voices that are not in service; empty if all are.
func (r result) restLine() string {
	const most = 12
	var names []string
	for i := range r.Voices {
		if v := &r.Voices[i]; !v.Serves() && v.State != "joined" {
			names = append(names, v.Name)
		}
	}
	switch {
	case len(names) == 0:
		return ""
	case len(names) > most:
		return "Not in service: " + unit.Count(len(names), "voice") + "."
	}
	return "Not in service: " + unit.List(names) + "."
}

func bankList(p *contract.Part) string {
	if len(p.Banks) > 8 {
		return unit.Count(len(p.Banks), "bank")
	}
	return strings.Join(p.Banks, " ")
}

// peak is the most voices that a part wants at once: for keys, with the pedal and
// with audible tails.
func peak(t *contract.Totals) string {
	return fmt.Sprintf("%d/%d/%d", t.Demand.Held, t.Demand.Pedal, t.Demand.Audible)
}

// clampLine says by how much notes of a part miss their pitch, and which keys it
// plays.
func (r result) clampLine(p *contract.Part) string {
	w := p.Range
	if w == nil || w.Missed == 0 || w.WindowLowKey == nil {
		return ""
	}
	line := fmt.Sprintf("%s of %s out of range by up to %s. It plays keys %s, the CV range has %s",
		unit.Count(w.Missed, "note"), p.Name, unit.Cents(math.Abs(w.MissedCents)),
		r.keys(w.LowKey, w.HighKey), r.keys(*w.WindowLowKey, *w.WindowHighKey))
	if w.OctavesToFit == nil {
		line += "; no octave fits them all"
	}
	return line
}

func (r result) keys(low, high int) string {
	return fmt.Sprintf("%s-%s (%d-%d)", contract.KeyName(low, r.middleC), contract.KeyName(high, r.middleC), low, high)
}

// bars lists, in words, the bars of up to n different ones that hold a mark.
func (r result) bars(flag string, n int) string {
	var bars []string
	more := false
	for i := range r.Marks {
		if r.Marks[i].Flag != flag {
			continue
		}
		bar, _, _ := strings.Cut(r.Marks[i].Bar, ":")
		if slices.Contains(bars, bar) {
			continue
		}
		if len(bars) == n {
			more = true
			break
		}
		bars = append(bars, bar)
	}
	word := "bar "
	if len(bars) > 1 {
		word = "bars "
	}
	if more {
		return word + strings.Join(bars, ", ") + " …"
	}
	return word + unit.List(bars)
}

// losses counts losses.
func losses(n int) string {
	if n == 1 {
		return "1 loss"
	}
	return strconv.Itoa(n) + " losses"
}

// Dropped says which overrides, as they are typed, are left out since the rig has not what they name; nothing
// where there are none.
func Dropped(flags []string) string {
	switch len(flags) {
	case 0:
		return ""
	case 1:
		return flags[0] + " is dropped: the rig has nothing of that name."
	}
	return unit.List(flags) + " are dropped: the rig has nothing of those names."
}
