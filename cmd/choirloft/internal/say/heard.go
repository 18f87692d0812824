package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// heardDB prints how much is heard, in dB; what is heard no more is nothing.
func heardDB(db *float64) string {
	switch {
	case db == nil:
		return unit.None
	case *db >= 10:
		return "10 dB+"
	}
	return unit.Tenths(*db) + " dB"
}

// heardCell is the same with its word.
func heardCell(h *contract.HeardOne) string {
	switch {
	case h == nil || h.HeardDB == nil:
		return unit.None
	case h.Plain():
		return heardDB(h.HeardDB) + " plain"
	}
	return heardDB(h.HeardDB) + " faint"
}

// youHear says how many losses are heard; counts must be known.
func youHear(h *contract.HeardFigures) string {
	if *h.Faint == 0 && h.FaintS > 0 { // of several together alone
		return "You would hear losses, but only together"
	}
	return youHearSo(*h.Faint, *h.Plain)
}

// youHearSo says so of a number of losses, and of those of them that are plain.
func youHearSo(n, plain int) string {
	switch {
	case n == 0:
		return "You would hear no loss"
	case n == 1 && plain == 1:
		return "You would hear 1 loss plainly"
	case n == 1:
		return "You would hear 1 loss faintly"
	case plain == n:
		return fmt.Sprintf("You would hear %d losses, all plainly", n)
	case plain == 0:
		return fmt.Sprintf("You would hear %d losses, none plainly", n)
	}
	return fmt.Sprintf("You would hear %d losses, %d plainly", n, plain)
}

// fills says for how long something is heard to be missing.
func fills(h *contract.HeardFigures) string {
	text := fmt.Sprintf("Something is missing for %s (%s)", unit.Span(h.FaintS), unit.Percent(h.ShareFaint))
	switch {
	case h.FaintS == 0:
		return ""
	case h.PlainS == h.FaintS:
		return text + ", all plainly"
	case h.PlainS > 0:
		return text + ", " + unit.Span(h.PlainS) + " plainly"
	}
	return text
}

// soundText says what the voices are taken to sound like, and whether anybody says
// so.
func soundText(h *contract.Hearing) string {
	text := "each part's wave and cutoff"
	if h.Wave != nil && h.CutoffHz != nil {
		text = *h.Wave + " waves through " + cutoffText(*h.CutoffHz)
	}
	if slices.ContainsFunc(h.Assumed, func(path string) bool { return strings.HasSuffix(path, ".wave") || strings.HasSuffix(path, ".cutoff") }) {
		return text + " (assumed)"
	}
	return text + " (not measured)"
}

// cutoffText prints the cutoff of a low-pass as a rig file has it.
func cutoffText(hz float64) string {
	if hz >= 1000 {
		return strconv.FormatFloat(hz/1000, 'g', 3, 64) + " kHz"
	}
	return strconv.FormatFloat(hz, 'g', 3, 64) + " Hz"
}

// lossHeard tells whether a loss is heard that voices could cure; where nobody
// listened, whether a tail is cut.
func (r result) lossHeard() bool {
	if r.Heard != nil {
		return *r.Heard.Faint > 0 || r.Heard.FaintS > 0
	}
	return r.LoudestCutDB != nil
}

// byEar is on how many voices nothing is heard to be missing; nil where that is not
// known, or none are.
func byEar(d *contract.Demand) *int {
	if d.HeardDemand == nil {
		return nil
	}
	return d.None
}

// heardLine says for how long something is missing, and what is heard most.
func (r result) heardLine() string {
	if r.Heard == nil || r.Heard.FaintS == 0 {
		return ""
	}
	text := fills(&r.Heard.HeardFigures) + "."
	for _, at := range r.MostHeard() {
		if l := &r.Losses[at]; !l.WrongPitch() {
			return fmt.Sprintf("%s Worst: %s, %s %s.", text, unit.Beat(l.BarNumber, l.Beat), l.Part, lossKey(l))
		}
	}
	return text
}

// alteredLine says how many of the losses are there because a sound is tried that the rig does not ask for.
func (r result) alteredLine() string {
	if r.Heard == nil {
		return ""
	}
	n := 0
	var parts []string
	for _, at := range r.Heard.Order {
		if l := &r.Losses[at]; l.Flagged() && *l.Flag == contract.FlagAltered {
			if n++; !slices.Contains(parts, l.Part) {
				parts = append(parts, l.Part)
			}
		}
	}
	if n == 0 {
		return ""
	}
	slices.Sort(parts)
	return fmt.Sprintf("%d of the losses only sound different from what the rig asks of %s. Once written into the rig, they are no losses.", n, unit.First(parts, 4))
}

// unheard says so where the budget was not enough to listen to the song.
func unheard(h *contract.Hearing, what string) string {
	if h == nil || !covered(h, what) {
		return ""
	}
	return "What you would hear is not known: the song is too long for the time there is."
}

// covered tells whether the budget ended a search of what is heard.
func covered(h *contract.Hearing, what string) bool {
	return slices.ContainsFunc(h.Covered, func(c contract.Coverage) bool { return c.What == what })
}

// heardCells are for how long something is missing, and how many losses are heard.
func heardCells(h *contract.HeardFigures) []string {
	if h == nil {
		return []string{"", "", "", ""}
	}
	return []string{unit.Span(h.FaintS), unit.Span(h.PlainS), countCell(h.Faint), countCell(h.Plain)}
}

// countCell prints a number that may not be known.
func countCell(n *int) string {
	if n == nil {
		return ""
	}
	return unit.Cell(*n)
}

// dbs is what rankings go by; 0 where it is not known.
func dbs(h *contract.HeardFigures) float64 {
	if h == nil {
		return 0
	}
	return h.DBS
}

func (r result) heardFigures() *contract.HeardFigures {
	if r.Heard == nil {
		return nil
	}
	return &r.Heard.HeardFigures
}

// lossText says what goes missing, and what takes its place.
func lossText(l *contract.Loss) string {
	note := l.Part + " " + lossKey(l) + ": "
	by := lossTaker(l)
	switch {
	case l.Flagged():
		return note + flagText(l)
	case by == unit.None:
		return note + EndingLabel(l.Ending)
	case l.Ending == contract.EndingName(study.TailCutOtherKey):
		return note + "tail cut by " + by
	case l.Ending == contract.EndingName(study.TailCutOwnKey):
		return note + EndingLabel(l.Ending)
	case l.Ending == contract.EndingName(study.OverlapOnly):
		return note + EndingLabel(l.Ending) + " for " + by
	}
	return note + EndingLabel(l.Ending) + " by " + by
}

// flagText says what is heard of a note that its ending does not say.
func flagText(l *contract.Loss) string {
	if *l.Flag == contract.FlagLate {
		return unit.Span(l.LateS) + " late"
	}
	return flagLabels[*l.Flag]
}

// flagLabels are what is heard and no ending says, in words, by its names in JSON.
var flagLabels = map[string]string{contract.FlagLate: "late", contract.FlagWrongPitch: "wrong pitch", contract.FlagThinned: "thinned", contract.FlagCut: "cut short",
	contract.FlagLeftOut: "left out in this run", contract.FlagAltered: "sounds different in this run", contract.FlagTooLong: "sounds too long"}

// LossKindLabel is what a kind of loss is called.
func LossKindLabel(kind string) string {
	if label, ok := flagLabels[kind]; ok {
		return label
	}
	return EndingLabel(kind)
}

// earLines say what the ear is taken to hear, and what it leaves aside in this song.
func (r result) earLines() []string {
	if r.Heard == nil {
		return nil
	}
	lines := []string{fmt.Sprintf("By ear one voice at C4 has %.0f dB (%s).", r.Hearing.LevelDB, r.levelSource())}
	deaf := 0
	for _, p := range r.Hearing.Parts {
		if !p.Velocity {
			deaf++
		}
	}
	switch {
	case deaf == len(r.Hearing.Parts):
		lines = append(lines, "By ear all notes have one loudness: no control takes velocity to the voices.")
	case deaf > 0:
		lines = append(lines, "By ear notes have one loudness where no control takes velocity to the voices.")
	}
	if r.inUnison() {
		lines = append(lines, "A unison that loses a voice is judged by its level, not by its beats.")
	}
	return lines
}

func (r result) levelSource() string {
	if slices.Contains(r.Hearing.Assumed, "hearing.level") {
		return "assumed"
	}
	return "from the rig"
}
