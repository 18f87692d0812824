package contract

import (
	"choirloft/profiles/unit"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// sizeSummary is the answer in a sentence.
func (s *SizeResult) sizeSummary(rig string) string {
	head := fmt.Sprintf("%s on %s: ", s.Song.Label(), rig)
	if s.Song.Notes == 0 {
		return head + nothing(s.Unmapped)
	}
	e := s.Enough
	text := unit.Count(e.Held, "voice") + " for the keys"
	if e.Pedal != e.Held {
		text += fmt.Sprintf(", %d with the pedal", e.Pedal)
	}
	text += fmt.Sprintf(", %d with every audible tail", e.Audible)
	return fmt.Sprintf("%s%s; %d in service.", head, text, s.Voices)
}

// advice says what to make of it, the most important first.
func (s *SizeResult) advice() []string {
	if s.Song.Notes == 0 {
		return []string{}
	}
	lines := []string{s.nowLine(), s.ownLine()}
	for _, line := range []string{s.floorLine(), s.cureLine(), s.unmappedLine()} {
		if line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// nowLine says what the voices in service do.
func (s *SizeResult) nowLine() string {
	return fmt.Sprintf("On the %s in service, %s: %s.", unit.Count(s.Voices, "voice"), s.Rules, s.Now.words())
}

// cureLine says what would help first, and what it would take to buy.
func (s *SizeResult) cureLine() string {
	const buying = "buying"
	at := slices.IndexFunc(s.Fixes, func(f Fix) bool { return f.Asks != buying })
	bought := slices.IndexFunc(s.Fixes, func(f Fix) bool { return f.Asks == buying })
	say := func(i int) string { return fmt.Sprintf("%s; then %s.", s.Fixes[i].Text, s.Fixes[i].After.words()) }
	switch {
	case len(s.Fixes) == 0:
		return ""
	case at < 0:
		return "What helps is " + say(bought)
	case bought < 0:
		return "First to try: " + say(at)
	}
	return "First to try: " + say(at) + " Or " + say(bought)
}

func (s *SizeResult) unmappedLine() string {
	if s.Unmapped == 0 {
		return ""
	}
	return fmt.Sprintf("Left out: %s that no part takes.", unit.Count(s.Unmapped, "note"))
}

// words says what a run costs.
func (c *Cost) words() string {
	if c.Damaged == 0 && c.TailCuts == 0 && c.LostGateS == 0 {
		return "nothing is lost"
	}
	damage := "no note damaged"
	switch {
	case c.Damaged == 0 && c.LostGateS > 0: // by the overlap at most, for each
		damage += fmt.Sprintf(", %s lost by late starts", unit.Span(c.LostGateS))
	case c.Damaged > 0 && c.OverlapOnly == c.Damaged:
		damage = fmt.Sprintf("%s damaged (legato overlaps only)", unit.Count(c.Damaged, "note"))
	case c.Damaged > 0:
		damage = fmt.Sprintf("%s damaged, %s lost", unit.Count(c.Damaged, "note"), unit.Span(c.LostGateS))
	}
	return damage + ", " + c.tailWords()
}

func (c *Cost) tailWords() string {
	switch c.TailCuts {
	case 0:
		return "no tail cut audibly"
	case 1:
		return "1 tail cut at " + unit.Level(c.LoudestCutDB)
	}
	return fmt.Sprintf("%d tails cut, the loudest at %s", c.TailCuts, unit.Level(c.LoudestCutDB))
}

// ownLine says from how many voices on the rules of the rig do no harm, and
// what happens on the way there.
func (s *SizeResult) ownLine() string {
	whole := s.ownFrom(func(c *Cost) bool { return c.Damaged == 0 })
	quiet, cut := s.quietFrom(whole)
	free := s.ownFrom(func(c *Cost) bool { return c.Damaged == 0 && c.TailCuts == 0 })
	var parts []string
	if whole > 0 {
		parts = append(parts, fmt.Sprintf("%d damage no note", whole))
	}
	if quiet > whole && quiet < free {
		parts = append(parts, fmt.Sprintf("%d cut nothing louder than %s", quiet, unit.Level(cut)))
	}
	if free > 0 {
		parts = append(parts, fmt.Sprintf("%d cut no tail either", free))
	}
	if len(parts) == 0 {
		return fmt.Sprintf("By these rules identical voices damage notes up to %d and beyond.", s.Curve[len(s.Curve)-1].Voices)
	}
	return "By these rules, of identical voices: " + strings.Join(parts, ", ") + "."
}

// ownFrom is the number of voices from which on the rig's rules pass, as far
// as the curve goes; 0 if not even the last does.
func (s *SizeResult) ownFrom(passes func(*Cost) bool) int {
	voices := 0
	for _, p := range slices.Backward(s.Curve) {
		if !passes(&p.Own) {
			break
		}
		voices = p.Voices
	}
	return voices
}

// faint is a level at which the cut of a tail is seldom noticed in a mix: common
// practice, and no more than that.
const faint = -25.0

// quietFrom is the number of voices from which on no cut is louder than faint,
// and the loudest there is from there on.
func (s *SizeResult) quietFrom(least int) (voices int, loudest *float64) {
	for _, p := range slices.Backward(s.Curve) {
		cut := p.Own.LoudestCutDB
		if p.Voices < least || cut != nil && *cut > faint {
			break
		}
		voices = p.Voices
		if cut != nil && (loudest == nil || *cut > *loudest) {
			loudest = cut
		}
	}
	return voices, loudest
}

// floorLine says below what no rule can do it.
func (s *SizeResult) floorLine() string {
	for _, p := range slices.Backward(s.Curve) {
		if p.FewestDamaged > 0 {
			return fmt.Sprintf("Fewer than %d cannot do it, whatever the rule: %d must damage %s and lose %s of gate time.",
				p.Voices+1, p.Voices, unit.Count(p.FewestDamaged, "note"), unit.Span(p.UnavoidableS))
		}
	}
	return ""
}

// ShortLine says in which bars the voices in service are too few.
func (s *SizeResult) ShortLine(most int) string {
	var bars []string
	wanted := map[string]int{}
	for i := range s.Short {
		bar, _, _ := strings.Cut(s.Short[i].Bar, ":")
		if wanted[bar] == 0 {
			bars = append(bars, bar)
		}
		wanted[bar] = max(wanted[bar], s.Short[i].Wanted)
	}
	if len(bars) == 0 {
		return ""
	}
	what := "Too few voices"
	if s.ShortTails {
		what = "Too few for the tails"
	}
	var at []string
	for _, bar := range bars[:min(most, len(bars))] {
		at = append(at, fmt.Sprintf("%s (%d wanted)", bar, wanted[bar]))
	}
	if n := len(bars) - most; n > 0 {
		at = append(at, strconv.Itoa(n)+" more")
	}
	return fmt.Sprintf("%s in bars %s.", what, unit.List(at))
}

// warned are the kinds of remedies that a page warns of, in this order: what a
// player would think of. Other rules are many, and in the JSON.
var warned = []string{"trim", "lift", "doubles", "unison", "release", "tails", "reserve", "banks"}

// WorseLine warns of remedies that make things worse, one of a kind.
func (s *SizeResult) WorseLine(most int) string {
	var words []string
	for _, kind := range warned {
		at := slices.IndexFunc(s.Worse, func(f Fix) bool { return f.Kinds[0] == kind })
		if at >= 0 && len(words) < most {
			words = append(words, fmt.Sprintf("%s (%s)", s.Worse[at].Text, s.Worse[at].After.words()))
		}
	}
	if len(words) == 0 {
		return ""
	}
	return "Makes it worse: " + strings.Join(words, "; ") + "."
}

// TriedLine says how much was tried.
func (s *SizeResult) TriedLine() string {
	switch {
	case s.Tried == 0:
		return ""
	case s.PairsAll == 0:
		return fmt.Sprintf("%s tried, each played; replay with the flags gives the same figures.", strconv.Itoa(s.Tried)+" remedies")
	case s.PairsTried < s.PairsAll:
		return fmt.Sprintf("%d remedies and %d of %d pairs tried before time was up, each played.", s.Tried, s.PairsTried, s.PairsAll)
	}
	return fmt.Sprintf("%d remedies and %d pairs tried, each played; replay with the flags gives the same figures.", s.Tried, s.PairsTried)
}

// DrillLine says which voice can be spared best.
func (s *SizeResult) DrillLine() string {
	for _, a := range s.Drill {
		if a.Best {
			return fmt.Sprintf("Each voice out in turn; the best to do without is %s (%s).", a.Name, a.After.words())
		}
	}
	return ""
}

func nothing(unmapped int) string {
	if unmapped > 0 {
		return fmt.Sprintf("nothing to play, since no part takes any of its %s.", unit.Count(unmapped, "note"))
	}
	return "nothing to play, the song has no notes."
}

// WarningLines tells of what was wrong with the song's file.
func (s *Song) WarningLines(n int) []string {
	if s.WarningsTotal == 0 {
		return nil
	}
	return []string{unit.Count(s.WarningsTotal, "oddity in the file")}
}
