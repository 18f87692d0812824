package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// verdict says how near the result is to the best that any rule could do, what
// waiting costs, and what to try.
func (r result) verdict() string {
	switch {
	case r.Song.Notes == 0:
		return ""
	case r.Demand.Voices == 0:
		return "No voice is in service."
	case r.Dealt:
		return "Each voice plays what it was dealt. What the dealing itself cost is not in the file: choirloft write says it."
	}
	return strings.Join(notEmpty([]string{r.best(), r.waiting(), r.cure()}), " ")
}

// best sets what is lost beside what no rule can better.
func (r result) best() string {
	b, voices := r.Bound, unit.Count(r.Demand.Voices, "voice")
	switch {
	case r.Damaged == 0 && r.Flags.Thinned > 0:
		return countHave(r.Flags.Thinned, "note") + " fewer voices than the unison asks for."
	case r.Damaged == 0 && r.Endings[study.TailCutOtherKey] == 0:
		return "No rule can do better."
	case r.Damaged == 0:
		return "No rule can cut or drop fewer notes."
	case b.FewestDamaged == r.Damaged:
		return fmt.Sprintf("On %s no rule cuts or drops fewer.", voices)
	case b.FewestDamaged == 0 && r.inUnison() && r.Demand.Pedal > r.Demand.Voices:
		return fmt.Sprintf("One voice a note, %s are enough; the unisons want %d at the peak.", voices, r.Demand.Pedal)
	case b.FewestDamaged == 0:
		return fmt.Sprintf("%s are enough for every note: %d at the peak.%s", upper(voices), r.Demand.Pedal, r.relaxation())
	}
	return fmt.Sprintf("On %s no rule cuts or drops fewer than %s.%s", voices, unit.Count(b.FewestDamaged, "note"), r.relaxation())
}

// relaxation says so where the best possible may be out of reach.
func (r result) relaxation() string {
	if !r.Bound.Relaxed {
		return ""
	}
	return " (That leaves aside which banks a part may use, and limited voices.)"
}

// waiting says what unisons that wait cost.
func (r result) waiting() string {
	if r.Waited == 0 {
		return ""
	}
	return fmt.Sprintf("%s late, by up to %s: a smaller unison, or when_short: thin, starts at once.",
		map[bool]string{true: "1 note begins", false: unit.Count(r.Waited, "note") + " begin"}[r.Waited == 1], unit.Span(r.LongestWaitS))
}

// cure says how many voices lose nothing.
func (r result) cure() string {
	d := &r.Demand
	notes, tails := r.Damaged > 0 && d.Pedal > d.Voices, r.Endings[study.TailCutOtherKey] > 0 && d.Audible > d.Voices
	switch {
	case notes && tails && d.Audible > d.Pedal:
		return fmt.Sprintf("%d voices can play every note whole, %d let every tail ring out.", d.Pedal, d.Audible)
	case notes:
		return fmt.Sprintf("%d voices can play every note whole.", d.Pedal)
	case tails:
		return fmt.Sprintf("%d voices let every tail ring out.", d.Audible)
	}
	return ""
}

// inUnison tells whether some part plays several voices on a note.
func (r result) inUnison() bool {
	return slices.ContainsFunc(r.Parts, func(p contract.Part) bool { return p.Unison.Voices > 1 })
}

// basis says what the answer rests on: which values move it, how far, and which
// of them nobody measured.
func (r result) basis() string {
	if r.Song.Notes == 0 || r.Demand.Voices == 0 {
		return ""
	}
	b := &r.RestsOn
	now := &contract.Cost{Damaged: r.Damaged, TailCuts: r.Endings[study.TailCutOtherKey]}
	return basisLine(&b.Values, swing(b.StepPercent, now, &b.Longer, &b.Shorter))
}

// swing says how far another release would move what is lost.
func swing(percent float64, now, longer, shorter *contract.Cost) string {
	if sameCost(now, longer) && sameCost(now, shorter) {
		return fmt.Sprintf("Release %.0f %% longer or shorter: no change.", percent)
	}
	if now.Damaged == longer.Damaged && now.Damaged == shorter.Damaged {
		return fmt.Sprintf("Release %.0f %% longer: %s cut; shorter: %d.", percent, unit.Count(longer.TailCuts, "tail"), shorter.TailCuts)
	}
	return fmt.Sprintf("Release %.0f %% longer: %s; shorter: %s.", percent, costShort(longer), costShort(shorter))
}
