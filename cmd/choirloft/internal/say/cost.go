package say

import (
	"fmt"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// costWords says what a run costs, the worst first, and what plays wrong then.
func costWords(c *contract.Cost, w *contract.Wrong) string { return costBeside(c, stillWrong(w)) }

// costBeside says what a run costs beside what plays wrong.
func costBeside(c *contract.Cost, wrong []string) string {
	lost := "no note or tail is cut"
	switch {
	case c.Heard != nil && c.Heard.Faint+c.Damaged == 0 && len(wrong) == 0:
		return "nothing is lost that you would hear"
	case c.Heard != nil && c.Heard.Faint+c.Damaged == 0:
		lost = "no loss heard"
	case c.Heard != nil:
		lost = lossWords(c) + ", " + heardAfter(c.Heard)
	case c.Missing != nil:
		lost = lossWords(c) + ", " + missingWords(c.Missing)
	case c.Damaged > 0 || c.TailCuts > 0 || c.LostGateS > 0:
		lost = lossWords(c) + ", " + tailWords(c)
	case len(wrong) == 0:
		return "nothing is lost"
	}
	return strings.Join(notEmpty([]string{lost, strings.Join(wrong, ", ")}), "; ")
}

// missingWords says for how long something is heard to be missing.
func missingWords(m *contract.Missing) string {
	switch {
	case m.HeardS == 0:
		return "nothing missing that you would hear"
	case m.PlainS == 0:
		return unit.Span(m.HeardS) + " faintly missing"
	}
	return unit.Span(m.PlainS) + " plainly missing"
}

// stillWrong says what plays wrong, or not at all, whatever is cut.
func stillWrong(w *contract.Wrong) []string { return wrongWords(w, "still at") }

func wrongWords(w *contract.Wrong, at string) (wrong []string) {
	if w.WrongPitches > 0 {
		wrong = append(wrong, fmt.Sprintf("%d %s the wrong pitch", w.WrongPitches, at))
	}
	if w.Unplayed > 0 {
		wrong = append(wrong, strconv.Itoa(w.Unplayed)+" unplayed")
	}
	return append(wrong, withoutJack(w.NoJack)...)
}

func withoutJack(n int) []string {
	if n == 0 {
		return nil
	}
	return []string{unit.Count(n, "voice") + " without a jack"}
}

// lossWords says which notes were dropped or cut short.
func lossWords(c *contract.Cost) string {
	var words []string
	if c.Dropped > 0 {
		words = append(words, unit.Count(c.Dropped, "note")+" dropped")
	}
	if n := c.Cut(); n > 0 {
		words = append(words, unit.Count(n, "note")+" cut short")
	}
	switch {
	case c.Damaged == 0:
		words = []string{"no note cut short or dropped"}
		if c.LostGateS > 0 { // by the overlap at most, for each
			words = append(words, unit.Span(c.LostGateS)+" lost by late starts")
		}
	case c.OverlapOnly == c.Damaged:
		words[0] += " (overlaps trimmed)"
	default:
		words = append(words, unit.Span(c.LostGateS)+" lost")
	}
	return strings.Join(words, ", ")
}

func tailWords(c *contract.Cost) string {
	switch c.TailCuts {
	case 0:
		return "no tail cut"
	case 1:
		return "1 tail cut at " + unit.Level(c.LoudestCutDB)
	}
	return fmt.Sprintf("%d tails cut, the loudest at %s", c.TailCuts, unit.Level(c.LoudestCutDB))
}

// costShort is the notes and the tails alone.
func costShort(c *contract.Cost) string {
	return fmt.Sprintf("%d cut or dropped, %s cut", c.Damaged, unit.Count(c.TailCuts, "tail"))
}

// sameCost tells whether two runs cut and drop as many notes and tails.
func sameCost(a, b *contract.Cost) bool { return a.Damaged == b.Damaged && a.TailCuts == b.TailCuts }

// costCells are the notes that were cut or dropped, the tails and the loudest of
// these.
func costCells(c *contract.Cost) []string {
	return []string{unit.Cell(c.Damaged), unit.Cell(c.TailCuts), unit.Level(c.LoudestCutDB)}
}

// costTone says how bad a run is.
func costTone(c *contract.Cost) doc.Tone {
	switch {
	case c.Damaged > 0:
		return doc.Bad
	case c.TailCuts > 0 || c.LostGateS > 0:
		return doc.Fair
	}
	return doc.Good
}

// rules names the rules of a rig's parts, which may differ.
func rules(r *contract.RulesName) string {
	if r == nil {
		return "each part by its own rules"
	}
	return r.Pick + ", " + r.Steal + ", " + Hearing(r.Tails)
}

// byRules says by which rules parts play.
func byRules(r *contract.RulesName) string {
	if r == nil {
		return rules(r)
	}
	return "by " + rules(r)
}

// ruleKeys names the same rules for JSON, as a rig file does.
func ruleKeys(r *contract.RulesName) string {
	if r == nil {
		return "each part by its own rules"
	}
	return r.Pick + ", " + r.Steal + ", tails " + r.Tails
}

// Hearing says what a rule knows of tails, by its name in a rig.
func Hearing(tails string) string {
	if tails == "unknown" {
		return term("deaf to tails").Name
	}
	return term("hears tails").Name
}
