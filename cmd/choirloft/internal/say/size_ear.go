package say

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// otherwise names what may be other than it is taken to be.
var otherwise = map[string]string{"saw": "saw waves", "square": "square waves", "triangle": "triangle waves", "sine": "sine waves",
	"longer": "a release 30 % longer", "shorter": "a release 30 % shorter", "dull": "losses counted from 2 dB"}

// open are the variations of what nobody measured, or said, those first that change
// whether the voices in service are enough, then those that move most.
func (s size) open() (list []contract.HearingVariation) {
	for _, v := range s.Hearing.Variations {
		if v.None != nil && *v.None != *s.Demand.None && s.unsure(v.Name) {
			list = append(list, v)
		}
	}
	slices.SortStableFunc(list, func(a, b contract.HearingVariation) int {
		return cmp.Or(cmp.Compare(s.turned(&b), s.turned(&a)), cmp.Compare(s.moved(&b), s.moved(&a)))
	})
	return list
}

// turned is 1 where a variation changes whether the voices in service are enough.
func (s size) turned(v *contract.HearingVariation) int {
	if (*v.None <= s.Voices) != (*s.Demand.None <= s.Voices) {
		return 1
	}
	return 0
}

func (s size) moved(v *contract.HearingVariation) int {
	n := *v.None - *s.Demand.None
	return max(n, -n)
}

// unsure tells whether what a variation changes is assumed, or not measured.
func (s size) unsure(name string) bool {
	switch name {
	case "dull":
		return true
	case "longer", "shorter":
		return s.RestsOn.ReleaseSource != contract.Measured
	}
	return slices.ContainsFunc(s.Hearing.Assumed, func(path string) bool { return strings.HasSuffix(path, ".wave") })
}

// turns says what assumption would change whether the voices in service are enough;
// empty for none.
func (s size) turns() string {
	if all := s.open(); len(all) > 0 && s.turned(&all[0]) == 1 {
		return fmt.Sprintf(", %d with %s", *all[0].None, otherwise[all[0].Name])
	}
	return ""
}

// earMoves says how far the voices needed rest on what is assumed.
func (s size) earMoves() string {
	all := s.open()
	if len(all) == 0 {
		untried := covered(s.Hearing, "variations")
		if len(s.Hearing.Variations) == 0 || untried {
			return ""
		}
		return "Other waves, releases or hearing thresholds: no change."
	}
	var words []string
	const most = 3 // more are in the JSON
	for _, v := range all[:min(most, len(all))] {
		if len(words) == 0 {
			words = append(words, unit.Count(*v.None, "voice")+" with "+otherwise[v.Name])
			continue
		}
		words = append(words, fmt.Sprintf("%d with %s", *v.None, strings.TrimSuffix(otherwise[v.Name], " waves")))
	}
	return strings.Join(words, ", ") + "."
}

// earLine says why the voices needed by ear are not known.
func (s size) earLine() string {
	switch {
	case s.Hearing == nil:
		return ""
	case s.Hearing.Interrupted && byEar(&s.Demand) == nil:
		return "Interrupted: by ear it is not known."
	case s.Hearing.Interrupted:
		return "Interrupted: what was not heard by then is left out."
	case byEar(&s.Demand) != nil:
		return ""
	case covered(s.Hearing, "demand"):
		return "By ear it is not known: a longer --budget finds it."
	}
	return "By these rules no number of voices is safe by ear: with more you would hear a loss again."
}

// lossHeard tells whether a loss is heard on the rig as it is; where that is not
// known, whether a tail is cut.
func (s size) lossHeard() bool {
	if h := s.Now.Heard; h != nil {
		return h.Faint > 0
	}
	return s.Now.TailCuts > 0
}

// heardAfter says in short how many losses are heard.
func heardAfter(h *contract.HeardAfter) string {
	switch {
	case h.Faint == 0:
		return "no loss heard"
	case h.Plain == 0:
		return losses(h.Faint) + " heard, none plainly"
	}
	return fmt.Sprintf("%s heard, %d plainly", losses(h.Faint), h.Plain)
}
