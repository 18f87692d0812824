package say

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Size says how many voices a song needs, what plays wrong, what each number of
// voices loses, and what to try. The figure curve is what [figures.Curve] draws.
func Size(s *contract.Size, room Room) *doc.Doc {
	d := newDoc(SongLabel(&s.Song)+" on "+s.Rig, s.Fingerprint)
	z := size{&s.SizeResult}
	d.Add(doc.Answer{Text: z.summary(s.Rig), Tone: z.tone()})
	if s.Song.Notes == 0 {
		d.Add(doc.Sentences(z.nothingLine()))
	} else {
		top, more, named := z.advice()
		if room == Screen && len(top)+len(more)+folds(top)+folds(more) > 13 { // what fits no screen is said by help
			more = slices.DeleteFunc(more, func(line string) bool { return line == z.takeLine() })
		}
		short := len(top) + len(more) - 1 // the more there is to say, the shorter the tables on a screen
		d.Add(doc.Sentences(top...), z.enoughList(), doc.Sentences(more...))
		fixes, shown, over := z.fixTable(room, room.of(max(3, 10-short), 100), named)
		below := z.moreLines(room, shown, over > 0)
		short += max(0, len(notEmpty(below))+folds(below)-2)
		d.Under(fixesHead, fixes, doc.Sentences(below...))
		d.Page("What each number of voices loses", doc.Figure{Name: "curve"}, z.curveTable(room, room.of(max(4-min(over, 2), 12-short-over-max(0, folds(top)+folds(more)-4)), mostRows)), doc.Sentences(z.partsLine()))
		d.Under("One change at a time (* as it is)", z.sensitivity(), doc.Sentences(z.besideLine()))
		d.Under("Each voice out in turn (* the best to do without)", doc.Sentences(z.drillLine()), z.drill())
		d.Under("Voices needed by each part", z.byPart(), byCounts(len(z.ByPart)))
		d.Under("Racks of whole banks", z.racks(), dealtByCounts(len(z.Racks)))
	}
	if room == Screen {
		d.Add(doc.Sentences(oddLine(&s.Song, wholeList), findingsLine(s.Findings)))
		return d
	}
	d.Under("About the song", oddities(&s.Song, 10))
	d.Under("Findings", findings(s.Findings))
	return d
}

// nothingLine says what to do first where no note is played; empty where there is none.
func (s size) nothingLine() string {
	text, _ := firstMend(true, faults{unplayed: s.unheard()})
	return text
}

// folds counts the lines of a terminal beyond one a sentence.
func folds(sentences []string) (n int) {
	for _, s := range sentences {
		n += (utf8.RuneCountInString(s) - 1) / headWidth
	}
	return n
}

// size puts how many voices a song needs into words.
type size struct{ *contract.SizeResult }

// fill sets the sentences of the JSON.
func (s size) fill(rig string) {
	s.Summary, s.Advice, s.Rules = s.summary(rig), []string{}, ruleKeys(s.OwnRules)
	if first := s.nothingLine(); s.Song.Notes == 0 && first != "" {
		s.Advice = append(s.Advice, first)
	}
	if s.Song.Notes > 0 {
		top, more, _ := s.advice()
		s.Advice = append(s.Advice, top...)
		for _, words := range s.enough() {
			s.Advice = append(s.Advice, words[0]+" voices: "+words[1]+".")
		}
		s.Advice = append(s.Advice, more...)
	}
	for _, list := range [][]contract.Fix{s.Fixes, s.Worse} {
		for i := range list {
			list[i].Text, list[i].Line = s.fixText(&list[i], func(at int) bool { return at < len(s.Fixes) }), fixLine(&list[i])
		}
	}
}

// fixLine is the command of a fix as one types it; recordings need a name.
func fixLine(f *contract.Fix) string {
	if f.Command == "write" {
		return Typed(slices.Concat(f.Args, []string{"-o", "recordings.mid"}))
	}
	return Typed(f.Args)
}

// tone is that of the loss, and never good where notes play wrong or not at all.
func (s size) tone() doc.Tone {
	tone := costTone(&s.Now)
	if tone == doc.Good && (s.Unmapped > 0 || s.WrongNotes() > 0 || len(s.NoJack)+len(s.OldReadings) > 0) {
		return doc.Fair
	}
	return tone
}

// summary is the answer in a sentence: the voices needed by the rules of the rig.
func (s size) summary(rig string) string {
	song := songName(&s.Song)
	if s.Song.Notes == 0 {
		return song + ": " + nothingToPlay(s.Unmapped)
	}
	if all := s.needs(song, rig+" has "); utf8.RuneCountInString(all) <= headWidth {
		return all
	}
	over := utf8.RuneCountInString(s.needs(song, "")) - headWidth
	return s.needs(yield(song, over), "")
}

// needs is the summary with what the song is called, and who has voices. Where no number is
// known to be enough by ear it goes by counts of notes, and says so.
func (s size) needs(song, has string) string {
	e, last := &s.EnoughOwn, s.last()
	have := fmt.Sprintf("; %s%d in service.", has, s.Voices)
	voices := func(n int) string { return unit.Count(n, "voice") + s.without() }
	n := byEar(&s.Demand)
	switch {
	case n != nil:
		return fmt.Sprintf("%s needs %s%s%s", song, voices(*n), s.turns(), have)
	case e.Undamaged == nil:
		return fmt.Sprintf("%s needs more than %s for whole notes by these rules%s", song, voices(last), have)
	case e.Untouched == nil:
		return fmt.Sprintf("%s needs %s for whole notes, more than %d for every tail%s", song, voices(*e.Undamaged), last, have)
	case *e.Untouched == *e.Undamaged:
		return fmt.Sprintf("%s needs %s for whole notes and every tail%s", song, voices(*e.Undamaged), have)
	}
	return fmt.Sprintf("%s needs %s for whole notes, %d for every tail%s", song, voices(*e.Undamaged), *e.Untouched, have)
}

// without says what the numbers of voices leave out.
func (s size) without() string {
	switch from := s.unheard(); len(from.list) {
	case 0:
		return ""
	case 1:
		return " without " + from.name(0)
	}
	return " without " + unit.Count(s.Unmapped, "note")
}

// enough says what numbers of voices are enough for what, by the rules of the
// rig: numbers and words.
func (s size) enough() (lines [][2]string) {
	e := &s.EnoughOwn
	add := func(n *int, says string) {
		if n != nil {
			lines = append(lines, [2]string{strconv.Itoa(*n), says})
		}
	}
	ear := byEar(&s.Demand)
	if ear != nil {
		add(ear, "nothing goes missing that you would hear")
		add(s.Demand.PlainNone, "no loss that you would plainly hear")
	}
	if e.Undamaged != nil {
		lines = append(lines, [2]string{strconv.Itoa(*e.Undamaged), "no note is cut short or dropped"})
	}
	if ear == nil && e.Quiet != nil && *e.Quiet > *e.Undamaged && e.Untouched != nil && *e.Quiet < *e.Untouched {
		lines = append(lines, [2]string{strconv.Itoa(*e.Quiet), "no tail is cut louder than " + unit.Level(e.LoudestDB)})
	}
	if e.Untouched != nil {
		lines = append(lines, [2]string{strconv.Itoa(*e.Untouched), "every release tail rings out"})
	}
	return lines
}

// enoughList is the same as it is printed: on the voices on which every tail rings out
// nothing else is missing either, which need not be said.
func (s size) enoughList() doc.List {
	lines := s.enough()
	if len(lines) == 0 {
		return doc.List{}
	}
	item := doc.Item{Text: "On identical voices, " + byRules(s.OwnRules) + ":"}
	all := lines[len(lines)-1]
	for i, words := range lines {
		if i < len(lines)-1 && s.EnoughOwn.Untouched != nil && words[0] == all[0] {
			continue
		}
		item.Below = append(item.Below, words[0]+": "+words[1])
	}
	return doc.List{Items: []doc.Item{item}}
}

// nowLine says in short all that goes wrong on the rig as it is.
func (s size) nowLine() string {
	var wrong []string
	if n := s.WrongNotes(); n > 0 {
		wrong = append(wrong, unit.Count(n, "note")+" at the wrong pitch")
	}
	if s.Unmapped > 0 {
		wrong = append(wrong, strconv.Itoa(s.Unmapped)+" unplayed")
	}
	if n := len(s.NoJack); n > 0 && s.Now.Heard == nil {
		wrong = append(wrong, unit.Count(n, "voice")+" without a jack")
	}
	if n := len(s.OldReadings); n > 0 {
		wrong = append(wrong, unit.Count(n, "voice")+" with old readings")
	}
	lost := []string{"no note cut short or dropped"}
	if c := &s.Now; c.Damaged > 0 {
		lost = nil
		if c.Dropped > 0 {
			lost = append(lost, unit.Count(c.Dropped, "note")+" dropped")
		}
		if c.Cut() > 0 {
			lost = append(lost, unit.Count(c.Cut(), "note")+" cut short")
		}
	}
	switch n := s.Now.TailCuts; {
	case s.Now.Heard != nil:
		wrong = slices.Insert(wrong, 0, heardAfter(s.Now.Heard)+ifPlugged(len(s.NoJack)))
	case n > 0:
		wrong = slices.Insert(wrong, 0, unit.Count(n, "tail")+" cut")
	}
	line := func(parts ...[]string) string {
		return fmt.Sprintf("On %s: %s.", unit.Count(s.Voices, "voice"), strings.Join(slices.Concat(parts...), ", "))
	}
	if s.Now.LostGateS > 0 { // which the tables have too
		if all := line(lost, []string{unit.Span(s.Now.LostGateS) + " lost"}, wrong); utf8.RuneCountInString(all) <= headWidth {
			return all
		}
	}
	if all := line(lost, wrong); s.Now.Damaged > 0 || len(wrong) == 0 || utf8.RuneCountInString(all) <= headWidth {
		return all
	}
	return line(wrong) // no note is cut, as the first line has it
}

// advice says what to make of it. Top is what is read first: all that goes wrong,
// what the answer rests on, what to try. More is what plays wrong, note by note,
// and what no rule can do better. Named are the places of the fixes that are named.
func (s size) advice() (top, more []string, named []int) {
	first, further, buy, named := s.firstFixes()
	detail := ""
	if utf8.RuneCountInString(first) > headWidth {
		first, detail, _ = strings.Cut(first, thenLeaves)
		first, detail = first+".", "With that fix: "+detail
	}
	return notEmpty([]string{cutOffLine(&s.Song), s.nowLine(), runsOut(s.RunsOut), first, s.restLine(), s.earLine(), rangeLine(&s.RestsOn.Values), oneVoiceLine(&s.RestsOn.Values), coveredLine(s.Covered), detail, further, buy}), notEmpty(append(s.wrong(), s.floorLine(), s.bestRuleLine(), s.takeLine())), named
}

// floorLine says what no rule can better on the voices of the rack, or where these
// are enough for the notes, from how many on they are.
func (s size) floorLine() string {
	p := s.point(s.Voices)
	switch {
	case s.TooFew == 0:
		return ""
	case p == nil || p.FewestDamaged == 0:
		return fmt.Sprintf("On fewer than %s no rule plays every note whole.", unit.Count(s.TooFew+1, "voice"))
	}
	return fmt.Sprintf("Best possible on %s: %s cut short or dropped, %s lost.",
		unit.Count(s.Voices, "voice"), unit.Count(p.FewestDamaged, "note"), unit.Span(p.UnavoidableS))
}

// bestRuleLine says so where another rule that was tried would do with fewer
// voices.
func (s size) bestRuleLine() string {
	beyond := func(n *int) int {
		if n == nil {
			return math.MaxInt
		}
		return *n
	}
	var best *contract.RulesFrom
	for i := range s.FromRules {
		if r := &s.FromRules[i]; beyond(r.Undamaged) < beyond(s.EnoughOwn.Undamaged) && (best == nil || beyond(r.Undamaged) < beyond(best.Undamaged)) {
			best = r
		}
	}
	if best == nil {
		return ""
	}
	return fmt.Sprintf("By %s, %d voices are enough for the notes.", rules(&best.RulesName), *best.Undamaged)
}

// Peak says what a song wants before anything was tried.
func Peak(e contract.Enough) string {
	return fmt.Sprintf("At its peak: %s for keys, %d with the pedal, %d with every release tail.", unit.Count(e.Held, "voice"), e.Pedal, e.Audible)
}

// coveredLine says what the budget left untried.
func coveredLine(covered []contract.Coverage) string {
	if len(covered) == 0 {
		return ""
	}
	var tried []string
	for _, c := range covered {
		some := fmt.Sprintf("%d of %d ", c.Tried, c.Of)
		if c.Tried == 0 {
			some = fmt.Sprintf("none of %d ", c.Of)
		}
		tried = append(tried, some+coveredWords[c.What])
	}
	return "Tried within the budget: " + unit.List(tried) + "; a longer --budget tries more."
}

// coveredWords name searches.
var coveredWords = map[string]string{"voices": "voice counts", "variations": "changes", "drill": "voices out", "parts": "voice counts of a part",
	"racks": "racks", "heard racks": "racks by ear", "weights": "notes weighed beside others"}

// last is where the curve ends, in voices.
func (s size) last() int {
	if len(s.Curve) == 0 {
		return 0
	}
	return s.Curve[len(s.Curve)-1].Voices
}

// point is that of a number of voices; nil where it was not played.
func (s size) point(voices int) *contract.SizePoint {
	i, ok := slices.BinarySearchFunc(s.Curve, voices, func(p contract.SizePoint, n int) int { return cmp.Compare(p.Voices, n) })
	if !ok {
		return nil
	}
	return &s.Curve[i]
}

// thenLeaves stands between a fix and what it leaves.
const thenLeaves = "; then "

// lossy tells whether a note or a tail is cut on the rig as it is.
func (s size) lossy() bool { return s.Now.Damaged+s.Now.TailCuts > 0 }

// moreLines are what stands below the fixes.
func (s size) moreLines(room Room, shown []int, tight bool) []string {
	costs, moved := joined(s.costsLine(shown), s.harmsLine(shown)), joined(s.sharedLine(shown), s.setUpsLine(shown))
	if room == Screen {
		return []string{costs, moved, joined(s.shownLine(shown), s.buyingLine(), s.noRoomLine(room), s.triedLine(tight))}
	}
	return []string{costs, moved, joined(s.buyingLine(), s.noRoomLine(room)), s.ladderLine(), s.shortLine(room.of(6, 12)), s.worseLine(room.of(3, 6)), s.triedLine(false)}
}

// shownLine says of a list of which some are left out that the numbers are those of the whole.
func (s size) shownLine(shown []int) string {
	if len(shown) == 0 || len(shown) == len(s.Fixes) {
		return ""
	}
	return fmt.Sprintf("Shown: %d of %d fixes, numbered as --all lists them.", len(shown), len(s.Fixes))
}

// joined sets sentences one after the other.
func joined(sentences ...string) string { return strings.Join(notEmpty(sentences), " ") }

// shortLine says in which bars the voices in service are too few.
func (s size) shortLine(most int) string {
	if len(s.ShortBars) == 0 {
		return ""
	}
	what := "for the notes"
	if s.ShortTails {
		what = "for the release tails"
	}
	var at []string
	for _, b := range s.ShortBars[:min(most, len(s.ShortBars))] {
		at = append(at, fmt.Sprintf("%d (%d)", b.Bar, b.Wanted))
	}
	if n := len(s.ShortBars) - most; n > 0 {
		at = append(at, strconv.Itoa(n)+" more")
	}
	return fmt.Sprintf("Bars that need more than %s %s: %s.", unit.Count(s.Voices, "voice"), what, unit.List(at))
}
