package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// SizePicture is what stands over a picture of how many voices a song needs: the answer,
// and below it what goes wrong on the rig as it is, what both rest on, and what the parts of the
// rig may use where it loses other notes than as many identical voices.
func SizePicture(s *contract.SizeResult) (answer string, below []string) {
	z := size{s}
	if s.Song.Notes == 0 || len(s.Curve) == 0 {
		return songName(&s.Song) + ": " + nothingToPlay(s.Unmapped), nil
	}
	return z.needs(songName(&s.Song), ""), notEmpty([]string{z.nowLine(), z.restLine(), z.partsLine()})
}

// SizeMark is a number of voices that a picture names.
type SizeMark struct {
	Voices int    `json:"voices"`
	Says   string `json:"says"`
	Answer bool   `json:"answer"` // the number that the song needs
	Have   bool   `json:"have"`   // that in service
}

// SizeMarks are the numbers of voices that a picture names, the fewest first: what they
// are enough for, by the rules of the rig, and those in service.
func SizeMarks(s *contract.SizeResult) (all []SizeMark) {
	e, ear := &s.EnoughOwn, byEar(&s.Demand)
	add := func(n *int, says string) {
		if n == nil {
			return
		}
		at := slices.IndexFunc(all, func(m SizeMark) bool { return m.Voices == *n })
		if at < 0 {
			all, at = append(all, SizeMark{Voices: *n}), len(all)
		}
		m := &all[at]
		m.Says += strings.Repeat(", ", min(1, len(m.Says))) + says
	}
	if ear != nil {
		add(ear, "no loss to hear")
		add(s.Demand.PlainNone, "no plain loss")
	}
	add(e.Undamaged, "no note cut")
	add(e.Untouched, "every tail rings out")
	add(&s.Voices, "you have")
	for i := range all {
		m := &all[i]
		m.Have = m.Voices == s.Voices
		m.Answer = ear != nil && m.Voices == *ear || ear == nil && e.Undamaged != nil && m.Voices == *e.Undamaged
	}
	slices.SortFunc(all, func(a, b SizeMark) int { return a.Voices - b.Voices })
	return all
}

// SizeRows are the figures that stand below each number of voices in a picture: heads,
// and for each of some points a cell under each; what is heard only if asked for.
func SizeRows(points []*contract.SizePoint, heard bool) (heads []string, cells [][]string) {
	heads = []string{"cut or dropped", "best possible", "tails cut"}
	if heard {
		heads = append([]string{"seconds heard", "seconds plain"}, heads...)
	}
	seconds := func(s float64) string {
		if s == 0 {
			return unit.None
		}
		return unit.Figure(s)
	}
	for _, p := range points {
		var row []string
		switch {
		case heard && p.Heard != nil:
			row = []string{seconds(p.Heard.FaintS), seconds(p.Heard.PlainS)}
		case heard:
			row = []string{"", ""}
		}
		cells = append(cells, append(row, unit.Cell(p.Own.Damaged), unit.Cell(p.FewestDamaged), unit.Cell(p.Own.TailCuts)))
	}
	return heads, cells
}

// SizeBar says what a number of identical voices costs: what is heard where that is asked for
// and known.
func SizeBar(p *contract.SizePoint, heard bool) string {
	n := unit.Count(p.Voices, "voice") + ": "
	switch {
	case heard && p.Heard == nil:
		return n + "not known what is heard"
	case heard && p.Heard.FaintS == 0:
		return n + "no loss that you hear"
	case heard && p.Heard.PlainS == 0:
		return n + unit.Span(p.Heard.FaintS) + " with a loss that you hear, none plainly"
	case heard:
		return n + unit.Span(p.Heard.FaintS) + " with a loss that you hear, " + unit.Span(p.Heard.PlainS) + " plainly"
	case p.Own.Damaged == 0:
		return n + "no note cut or dropped"
	}
	return fmt.Sprintf("%s%s cut or dropped, %d by any rule", n, unit.Count(p.Own.Damaged, "note"), p.FewestDamaged)
}

// SizeLegend says what bars of numbers of voices measure, and what their fills stand for.
func SizeLegend(label, dark, grey string, heard bool) string {
	text := fmt.Sprintf("Bars at the right: %s. Dark is %s, grey is %s.", lower(label), dark, grey)
	if !heard {
		text += " They count notes, not what you would hear of them."
	}
	return text
}

// NotThere says where on an axis of voices the rack ends.
func NotThere(voices int) string {
	return unit.Count(voices, "voice") + " without buying; above: not there"
}

// SizeRules are those of a picture of sizes.
func SizeRules(s *contract.Size) string { return "Rules: " + rulesSaid(s.OwnRules) }

func rulesSaid(r *contract.RulesName) string {
	if r == nil {
		return ruleKeys(r)
	}
	return fmt.Sprintf("pick %s, steal %s, %s", r.Pick, r.Steal, Hearing(r.Tails))
}
