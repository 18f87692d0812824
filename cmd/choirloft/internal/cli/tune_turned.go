package cli

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/tuning"
)

// noneTurned says that no trimmer was turned.
const noneTurned = "none"

// namesTurned are the voices that --turned names.
func (t *tune) namesTurned(rig *profiles.Rig) (all []int, err error) {
	if len(t.turned) == 1 && strings.EqualFold(strings.TrimSpace(t.turned[0]), noneTurned) {
		return []int{}, nil
	}
	for _, name := range t.turned {
		some := voicesNamed(rig, strings.TrimSpace(name))
		if len(some) == 0 {
			return nil, &usageError{fmt.Sprintf("--turned %s: the rig has no such voice, want %s to %s, or %s alone", name, rig.Voices[0].Name, rig.Voices[len(rig.Voices)-1].Name, noneTurned),
				"name voices, K1,K3, several in a row, K1-K4, or a bank, K"}
		}
		all = append(all, some...)
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}

// ask refuses to write where a voice moved as if a trimmer had been turned, and nobody says
// whether it was: written as drift it would count for that of all voices.
func (t *tune) ask(study *tuning.Result) error {
	jumps := study.JumpsOf(t.date)
	if !t.write || len(t.turned) > 0 || len(jumps) == 0 {
		return nil
	}
	most := slices.MaxFunc(jumps, func(a, b tuning.Jump) int { return cmp.Compare(a.Apart(), b.Apart()) })
	name := func(j tuning.Jump) string { return study.Rig.Voices[j.Voice.Voice].Name }
	var names, others []string
	for _, j := range jumps {
		if n := name(j); !slices.Contains(names, n) {
			names = append(names, n)
			if n != name(most) {
				others = append(others, n)
			}
		}
	}
	message := fmt.Sprintf("--write: %s moved by %s cents from %s to %s", name(most), unit.Signed(most.Cents), most.From, most.To)
	if !math.IsNaN(most.Others) {
		message += ", the others by " + unit.Signed(most.Others)
	}
	message += ", and drift explains up to " + unit.Tenths(most.Limit)
	if len(others) > 0 {
		message += "; " + unit.Several(others) + " moved too"
	}
	return &usageError{message, fmt.Sprintf("say --turned %s for trimmers that were turned, so that these days begin anew, or --turned %s", strings.Join(names, ","), noneTurned)}
}
