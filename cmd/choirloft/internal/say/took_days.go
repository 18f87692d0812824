package say

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// drift says on how many days it rests, and what that is worth.
func (t took) drift() []string {
	days, cents := t.Days, t.drifts()
	switch {
	case t.Verified != nil:
		return []string{"What corrections leave is of today: drift comes on top."}
	case len(cents) > 0:
		lines := []string{fmt.Sprintf("Drift is measured on %s, of %s: %s to %s cents from day to day (standard deviation).", unit.Count(max(2, days), "day"),
			unit.Count(len(cents), "voice"), unit.Tenths(slices.Min(cents)), unit.Tenths(slices.Max(cents)))}
		if days < manyDays && t.Tuning.DriftCents != nil {
			lines = append(lines, fmt.Sprintf("So few days leave it uncertain: at worst drift counts as %s cents, and each further day narrows that.", unit.Tenths(*t.Tuning.DriftCents)))
		}
		return lines
	case days > 0:
		return []string{"Drift stays assumed. Record a take on another day, and give its --date."}
	}
	return []string{"Drift stays assumed. With --date the pitches of the day are kept, and a second day measures it."}
}

// drifts are what the corrections for the rig say of it.
func (t took) drifts() (cents []float64) {
	if t.Tuning == nil {
		return nil
	}
	for i := range t.Tuning.Voices {
		if v := &t.Tuning.Voices[i]; !v.ByHand && v.Correct != nil && v.Correct.DriftCents != nil {
			cents = append(cents, *v.Correct.DriftCents)
		}
	}
	return cents
}

// jumped asks after the voices that moved further than drift explains.
func (t took) jumped() []string {
	if len(t.Jumps) == 0 {
		return nil
	}
	most := slices.MaxFunc(t.Jumps, func(a, b contract.TunedJump) int { return cmp.Compare(a.ApartCents, b.ApartCents) })
	names := []string{most.Voice}
	for _, j := range t.Jumps {
		if !slices.Contains(names, j.Voice) {
			names = append(names, j.Voice)
		}
	}
	line := fmt.Sprintf("%s moved by %s cents from %s to %s", most.Voice, unit.Signed(most.Cents), most.From, most.To)
	if most.OthersCents != nil {
		line += fmt.Sprintf(", the others by %s", unit.Signed(*most.OthersCents))
	}
	line += ": more than drift explains."
	if len(names) > 1 {
		line += " So did " + unit.First(names[1:], 4) + "."
	}
	if t.Tuning.TurnedSaid {
		return []string{line + " You say that no trimmer was turned, so it counts as drift."}
	}
	which := strings.Join(names, ",")
	if len(names) > 4 {
		which = "with their names"
	}
	return []string{line + " Were trimmers turned? Say --turned " + which + ", or --turned none."}
}

// anew says which voices a turn parts from their earlier days.
func (t took) anew(room Room) (lines []string) {
	if t.Date == nil || t.mending(room) {
		return nil
	}
	byHand, turned := (tune{t.Tuning}).byHand(), slices.DeleteFunc(slices.Clone(t.Tuning.Turned), func(name string) bool { return !slices.Contains(t.Answers, name) })
	if len(byHand) > 0 {
		whose := "Its"
		if len(byHand) > 1 {
			whose = "Their"
		}
		lines = append(lines, whose+" drift takes two days after the turn: days before it do not count.")
	}
	if turned = slices.DeleteFunc(turned, func(name string) bool { return slices.Contains(byHand, name) }); len(turned) > 0 {
		lines = append(lines, fmt.Sprintf("The days of %s begin anew with this one, since a trimmer was turned. A further day measures the drift.", unit.Several(turned)))
	}
	return lines
}
