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
// waiting costs, and what else to try.
func (r result) verdict() string {
	switch {
	case r.Song.Notes == 0 || r.Demand.Voices == 0:
		return ""
	case r.Dealt:
		return "The file does not hold what dealing cost, wrong pitches included: choirloft write says it."
	}
	return strings.Join(notEmpty([]string{runsOut(r.RunsOut), r.best(), r.waiting(), r.loudest(), r.never(), r.then()}), " ")
}

// runsOut names the banks that are too small while voices of others are free.
func runsOut(x *contract.RunsOut) string {
	if x == nil {
		return ""
	}
	runs, is := "run out", "are"
	if len(x.Banks) == 1 {
		runs = "runs out"
	}
	if x.Free == 1 {
		is = "is"
	}
	why := "every note that is cut short or dropped is there"
	if x.Part != "" {
		why = fmt.Sprintf("%s wants %s at the peak and has %d", x.Part, unit.Count(x.Wanted, "voice"), x.Has)
	}
	return fmt.Sprintf("%s %s: %s. Elsewhere at least %s %s always free.", upper(unit.Named("bank", x.Banks, 6)), runs, why, unit.Count(x.Free, "voice"), is)
}

// best sets what is lost beside what no rule can better.
func (r result) best() string {
	b, voices := r.Bound, unit.Count(r.Demand.Voices, "voice")
	switch {
	case r.Damaged == 0 && r.Flags.Thinned > 0:
		return countHave(r.Flags.Thinned, "note") + " fewer voices than the unison asks for."
	case r.Damaged == 0 && r.Endings[study.TailCutOtherKey] == 0 && !r.lossHeard():
		return "No rule can do better."
	case r.Damaged == 0 && !r.lossHeard():
		return ""
	case r.Damaged == 0:
		return "No rule can cut or drop fewer notes."
	case b.FewestDamaged == r.Damaged:
		return r.where() + " no rule cuts or drops fewer."
	case b.FewestDamaged == 0 && r.inUnison() && r.Demand.Pedal > r.Demand.Voices:
		return fmt.Sprintf("One voice a note, %s are enough; the unisons want %d at the peak.", voices, r.Demand.Pedal)
	case b.FewestDamaged == 0:
		return fmt.Sprintf("%s are enough for every note: %d at the peak.%s", upper(voices), r.Demand.Pedal, r.relaxation())
	}
	return fmt.Sprintf("%s no rule cuts or drops fewer than %s.%s", r.where(), unit.Count(b.FewestDamaged, "note"), r.relaxation())
}

// where says what the best possible is for: other banks may let rules do better.
func (r result) where() string {
	if r.Bound.Apart && !r.Bound.Relaxed {
		return "With these banks"
	}
	return "On " + unit.Count(r.Demand.Voices, "voice")
}

// relaxation says so where the best possible may be out of reach.
func (r result) relaxation() string {
	if !r.Bound.Relaxed {
		return ""
	}
	return " (That ignores limited voices, and which banks a part may use.)"
}

// waiting says what unisons that wait cost.
func (r result) waiting() string {
	if r.Waited == 0 {
		return ""
	}
	return fmt.Sprintf("%s late, by up to %s, waiting for a unison.",
		map[bool]string{true: "1 note begins", false: unit.Count(r.Waited, "note") + " begin"}[r.Waited == 1], unit.Span(r.LongestWaitS))
}

// loudest says how loud the loudest tail is that another note cuts.
func (r result) loudest() string {
	if r.LoudestCutDB == nil || r.Heard != nil {
		return ""
	}
	return "The loudest tail is cut at " + unit.Level(r.LoudestCutDB) + "."
}

// never says so where by the rules of the rig there is no number of voices from which
// on nothing is heard: one more may take another voice, and cut what the ear notices.
func (r result) never() string {
	if r.Heard == nil || !r.lossHeard() || byEar(&r.Demand) != nil || unheard(r.Hearing, "demand") != "" {
		return ""
	}
	return "By these rules no number of voices is safe by ear."
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
	if r.Heard != nil {
		return basisByEar(&b.Values, r.Hearing, swingOfNotes(b.StepPercent, r.Damaged, &b.Longer, &b.Shorter))
	}
	now := &contract.Cost{Damaged: r.Damaged, TailCuts: r.Endings[study.TailCutOtherKey]}
	return basisLine(&b.Values, swing(b.StepPercent, now, &b.Longer, &b.Shorter))
}

// swingOfNotes says how far another release would move how many notes are cut.
func swingOfNotes(percent float64, now int, longer, shorter *contract.Cost) string {
	if now == longer.Damaged && now == shorter.Damaged {
		return ""
	}
	return fmt.Sprintf("%.0f %% longer: %s cut or dropped; shorter: %d.", percent, unit.Count(longer.Damaged, "note"), shorter.Damaged)
}

// rangeLine says so where the CV range is assumed.
func (r result) rangeLine() string {
	if r.basis() == "" {
		return ""
	}
	return rangeLine(&r.RestsOn.Values)
}

// swing says how far another release would move what is lost.
func swing(percent float64, now, longer, shorter *contract.Cost) string {
	step := fmt.Sprintf("%.0f %%", percent)
	if sameCost(now, longer) && sameCost(now, shorter) {
		return step + " longer or shorter: no change."
	}
	if now.Damaged == longer.Damaged && now.Damaged == shorter.Damaged {
		return fmt.Sprintf("%s longer: %s cut; shorter: %d.", step, unit.Count(longer.TailCuts, "tail"), shorter.TailCuts)
	}
	return fmt.Sprintf("%s longer: %s; shorter: %s.", step, costShort(longer), costShort(shorter))
}
