package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Size says how many voices a song wants, what each number of them does, and what
// would help. The figure curve is what [figures.Curve] draws.
func Size(s *contract.Size, room Room) *doc.Doc {
	d := newDoc(SongLabel(&s.Song)+" on "+s.Rig, s.Fingerprint)
	z := size{&s.SizeResult}
	d.Add(doc.Answer{Text: z.summary(label(s.Rig, s.Fingerprint)), Tone: costTone(&s.Now)})
	if s.Song.Notes > 0 {
		d.Add(doc.Sentences(append(z.advice(), z.shortLine(room.of(6, 12)))...))
		d.Under("What would help, the cheapest that saves most first", z.fixTable(room.of(6, 20)),
			doc.Sentences(z.worseLine(room.of(3, 6)), z.triedLine()))
		d.Page("What each number of voices costs", doc.Figure{Name: "curve"}, z.curveTable())
		d.Under("One thing changed at a time (* as it is)", z.sensitivity())
		d.Under("Each voice out in turn", doc.Sentences(z.drillLine()), z.drill())
		d.Under("Voices for each part by itself", z.byPart())
		d.Under("Racks of whole banks, every part on all of them, and dealt out as well as can be", z.racks())
	}
	d.Under("About the song", oddities(&s.Song, room.of(3, 10)))
	d.Under("Findings", findings(s.Findings))
	return d
}

// size puts how many voices a song wants into words.
type size struct{ *contract.SizeResult }

// fill sets the sentences of the JSON.
func (s size) fill(rig string) {
	s.Summary, s.Advice, s.Rules = s.summary(rig), s.advice(), rules(s.OwnRules)
	for _, list := range [][]contract.Fix{s.Fixes, s.Worse} {
		for i := range list {
			list[i].Text = fixText(&list[i])
		}
	}
}

// summary is the answer in a sentence.
func (s size) summary(rig string) string {
	head := fmt.Sprintf("%s on %s: ", SongLabel(&s.Song), rig)
	if s.Song.Notes == 0 {
		return head + nothingToPlay(s.Unmapped)
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
func (s size) advice() []string {
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
func (s size) nowLine() string {
	return fmt.Sprintf("On the %s in service, %s: %s.", unit.Count(s.Voices, "voice"), rules(s.OwnRules), costWords(&s.Now))
}

// ownLine says from how many voices on the rules of the rig do no harm, and
// what happens on the way there.
func (s size) ownLine() string {
	e := &s.EnoughOwn
	var parts []string
	if e.Undamaged != nil {
		parts = append(parts, fmt.Sprintf("%d damage no note", *e.Undamaged))
	}
	if e.Quiet != nil && *e.Quiet > *e.Undamaged && e.Untouched != nil && *e.Quiet < *e.Untouched {
		parts = append(parts, fmt.Sprintf("%d cut nothing louder than %s", *e.Quiet, unit.Level(e.LoudestDB)))
	}
	if e.Untouched != nil {
		parts = append(parts, fmt.Sprintf("%d cut no tail either", *e.Untouched))
	}
	if len(parts) == 0 {
		return fmt.Sprintf("By these rules identical voices damage notes up to %d and beyond.", s.Curve[len(s.Curve)-1].Voices)
	}
	return "By these rules, of identical voices: " + strings.Join(parts, ", ") + "."
}

// floorLine says below what no rule can do it.
func (s size) floorLine() string {
	if s.TooFew == 0 {
		return ""
	}
	p := s.point(s.TooFew)
	return fmt.Sprintf("Fewer than %d cannot do it, whatever the rule: %d must damage %s and lose %s of gate time.",
		s.TooFew+1, s.TooFew, unit.Count(p.FewestDamaged, "note"), unit.Span(p.UnavoidableS))
}

// point is that of a number of voices; nil beyond the curve.
func (s size) point(voices int) *contract.SizePoint {
	if voices < 1 || voices > len(s.Curve) {
		return nil
	}
	return &s.Curve[voices-1]
}

// cureLine says what would help first, and what it would take to buy.
func (s size) cureLine() string {
	const buying = "buying"
	at := slices.IndexFunc(s.Fixes, func(f contract.Fix) bool { return f.Asks != buying })
	bought := slices.IndexFunc(s.Fixes, func(f contract.Fix) bool { return f.Asks == buying })
	say := func(i int) string {
		return fmt.Sprintf("%s; then %s.", fixText(&s.Fixes[i]), costWords(&s.Fixes[i].After))
	}
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

func (s size) unmappedLine() string {
	if s.Unmapped == 0 {
		return ""
	}
	return fmt.Sprintf("Left out: %s that no part takes.", unit.Count(s.Unmapped, "note"))
}

// shortLine says in which bars the voices in service are too few.
func (s size) shortLine(most int) string {
	if len(s.ShortBars) == 0 {
		return ""
	}
	what := "Too few voices"
	if s.ShortTails {
		what = "Too few for the tails"
	}
	var at []string
	for _, b := range s.ShortBars[:min(most, len(s.ShortBars))] {
		at = append(at, fmt.Sprintf("%d (%d wanted)", b.Bar, b.Wanted))
	}
	if n := len(s.ShortBars) - most; n > 0 {
		at = append(at, strconv.Itoa(n)+" more")
	}
	return fmt.Sprintf("%s in bars %s.", what, unit.List(at))
}
