package say

import (
	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
	"fmt"
	"slices"
	"strings"
)

// summary is the answer in a sentence.
func (r result) summary() string {
	head := fmt.Sprintf("%s on %s: ", SongLabel(&r.Song), r.on)
	if r.Song.Notes == 0 {
		return head + nothingToPlay(r.Flags.Unmapped)
	}
	return fmt.Sprintf("%s%s on %s: %s; %s.", head, unit.Count(r.Song.Notes, "note"),
		unit.Count(r.Demand.Voices, "voice"), r.damage()+r.waiting(), r.tails())
}

// damage names the endings that did damage.
func (r result) damage() string {
	var kinds []string
	for e := study.Dropped; e <= study.PedalCut; e++ {
		if n := r.Endings[e]; n > 0 {
			kinds = append(kinds, fmt.Sprintf("%d %s", n, endingWords[e].label))
		}
	}
	switch len(kinds) {
	case 0:
		return "none damaged"
	case 1:
		_, kind, _ := strings.Cut(kinds[0], " ")
		return fmt.Sprintf("%d damaged (%s)", r.Damaged, kind)
	}
	return fmt.Sprintf("%d damaged (%s)", r.Damaged, strings.Join(kinds, ", "))
}

// waiting says how many notes began late for want of voices, by little or by so
// much that it damaged them.
func (r result) waiting() string {
	if r.Waited == 0 {
		return ""
	}
	return fmt.Sprintf(", %d begun late, by up to %s", r.Waited, unit.Span(r.LongestWaitS))
}

func (r result) tails() string {
	n := r.Endings[study.TailCutOtherKey]
	if n == 0 {
		return "no tail cut audibly by another key"
	}
	at := "the loudest at "
	if n == 1 {
		at = "at "
	}
	return fmt.Sprintf("%s cut audibly by another key, %s%s", unit.Count(n, "tail"), at, unit.Level(r.LoudestCutDB))
}

// verdict says how near the result is to the best that any rule could do, and
// what waiting costs.
func (r result) verdict() string {
	switch {
	case r.Song.Notes == 0:
		return ""
	case r.Demand.Voices == 0:
		return "No voice is in service."
	case r.Dealt:
		return "Each voice plays what it was dealt. What the dealing itself cost is not in the file: choirloft write says it."
	case r.Waited == 0:
		return r.ruleVerdict()
	}
	waiting := fmt.Sprintf("Waiting for the voices of a unison costs %s of gate time: a smaller unison, or when_short: thin, starts at once.",
		unit.Span(r.WaitedS))
	if r.Damaged == 0 {
		return waiting
	}
	return r.ruleVerdict() + " " + waiting
}

func (r result) ruleVerdict() string {
	switch {
	case r.Damaged == 0 && r.Flags.Thinned > 0:
		return fmt.Sprintf("No rule can damage fewer, but %s fewer voices than the unison asks for.", notesHave(r.Flags.Thinned))
	case r.Damaged == 0:
		return r.tailVerdict()
	case r.Hurt() == 0:
		return "Only legato overlaps suffer, by " + unit.Span(r.longestLoss()) + " at most. " + r.boundVerdict() + r.relaxation()
	}
	return r.boundVerdict() + r.relaxation()
}

// notesHave counts notes that have something.
func notesHave(n int) string {
	if n == 1 {
		return "1 note has"
	}
	return unit.Count(n, "note") + " have"
}

// relaxation says so where the bound may be out of reach.
func (r result) relaxation() string {
	if !r.Bound.Relaxed || r.Bound.FewestDamaged == r.Damaged {
		return ""
	}
	return " (The bound takes no account of which banks a part may use and of limited voices, so it may be out of reach.)"
}

// longestLoss is the most that one note lost, in seconds.
func (r result) longestLoss() float64 {
	most := 0.0
	for i := range r.Losses {
		most = max(most, r.Losses[i].LostS)
	}
	return most
}

// boundVerdict sets the damage beside what no rule can beat.
func (r result) boundVerdict() string {
	b := r.Bound
	voices := unit.Count(r.Demand.Voices, "voice")
	switch b.FewestDamaged {
	case r.Damaged:
		return fmt.Sprintf("No rule can damage fewer on %s, and none can lose less than %s of gate time (here %s).",
			voices, unit.Span(b.UnavoidableS), unit.Span(r.LostGateS))
	case 0:
		if r.inUnison() && r.Demand.Pedal > r.Demand.Voices {
			return fmt.Sprintf("One voice a note, there would be voices enough on %s; the unisons want %d at once.",
				voices, r.Demand.Pedal)
		}
		return fmt.Sprintf("There are voices enough for all of it: %s at most at once, on %s.",
			unit.Count(r.Demand.Pedal, "note"), voices)
	}
	return fmt.Sprintf("Any rule on %s must damage at least %s and lose at least %s of gate time (here %d and %s).",
		voices, unit.Count(b.FewestDamaged, "note"), unit.Span(b.UnavoidableS), r.Damaged, unit.Span(r.LostGateS))
}

// inUnison tells whether some part plays several voices on a note.
func (r result) inUnison() bool {
	return slices.ContainsFunc(r.Parts, func(p contract.Part) bool { return p.Unison.Voices > 1 })
}

// tailVerdict is the verdict where no note was damaged.
func (r result) tailVerdict() string {
	switch {
	case r.Endings[study.TailCutOtherKey] == 0:
		return "No rule can do better."
	case r.Demand.Audible > r.Demand.Voices:
		return fmt.Sprintf("No rule can damage fewer; %s would leave every tail room to fade.", unit.Count(r.Demand.Audible, "voice"))
	}
	return fmt.Sprintf("No rule can damage fewer, and the tails fit too: at most %d notes are audible at once.", r.Demand.Audible)
}
