package say

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Tune says what readings say: the answer, one row per voice, which trimmers to
// turn, and what the corrections change.
func Tune(v *contract.Tune) *doc.Doc {
	t := tune{v}
	d := newDoc("Tuning of "+t.Rig, t.Fingerprint)
	tone := doc.Good
	if t.bad() {
		tone = doc.Fair
	}
	d.Add(doc.Answer{Text: t.summary() + ".", Tone: tone})
	if len(t.Voices) > 0 {
		d.Under("Voices", t.voices(), doc.Aside{Text: t.assumed()}, doc.Sentences(t.commonLines()...))
	}
	if len(t.Turns) > 0 {
		d.Under("Turn, in this order", doc.Sentences(t.turnLines(All, math.MaxInt)...), doc.Sentences(t.turnCautions()...))
	}
	d.Under("Recordings that were refused", doc.Sentences(t.refusedLines()...))
	d.Under("Unisons", doc.Sentences(t.unisonLines()...))
	d.Under("What the corrections change", doc.Sentences(t.figureLines()...))
	d.Under("Findings", findings(t.Findings))
	d.Under("What is written", doc.Sentences(t.lastLines()...))
	return d
}

// tune puts readings into words.
type tune struct{ *contract.Tune }

// commonLines say by how much voices drift alike, which makes no beats.
func (t tune) commonLines() []string {
	if t.Common == nil {
		return nil
	}
	return []string{fmt.Sprintf("Between days %s moved alike by %s cents (standard deviation over %s). That detunes none against another.",
		unit.Count(t.Common.Voices, "voice"), unit.Tenths(t.Common.Cents), unit.Count(t.Common.Days, "day"))}
}

// summary is the answer in a sentence.
func (t tune) summary() string {
	text := fmt.Sprintf("%s: %s of %s", t.Rig, unit.Count(t.Readings, "reading"), unit.Count(len(t.Voices), "voice"))
	if n := t.refused(); n > 0 {
		text += fmt.Sprintf(", %s refused", unit.Count(n, "recording"))
	}
	text += t.unusable()
	var odd, named []string
	unheard := false
	for _, b := range t.Banks {
		for i := range b.Apart {
			a := &b.Apart[i]
			unheard = unheard || !a.Heard
			if a.Heard && !slices.Contains(named, a.Voice) {
				odd, named = append(odd, t.oddOne(a)), append(named, a.Voice)
			}
		}
	}
	switch {
	case len(odd) == 1:
		text += "; " + odd[0] + " stands apart"
	case len(odd) > 1:
		text += "; " + unit.Several(odd) + " stand apart"
	case unheard:
		text += "; none stands so far apart that you would hear it"
	case len(t.Voices) > 0:
		text += "; none stands apart"
	}
	if n := len(t.Corrections); n > 0 {
		now := worstOf(t.Voices, func(v *contract.TunedVoice) *contract.InTune { return v.Before })
		then := worstOf(t.Voices, func(v *contract.TunedVoice) *contract.InTune { return v.After })
		text += fmt.Sprintf("; corrected, the worst key is %s instead of %s cents off, give or take %s", unit.Tenths(then), unit.Tenths(now), unit.Tenths(t.limit()))
		if voice := t.beyondRange(then); voice != "" {
			text += ". That key of " + voice + " is out of the CV range when corrected; the tuning error counts keys within it"
		}
	}
	return text
}

// beyondRange names the voice that is as far off as that, where its correction ends
// at the CV range; empty where it does not.
func (t tune) beyondRange(worst float64) string {
	for i := range t.Voices {
		v := &t.Voices[i]
		if v.After == nil || v.ByHand || math.Abs(v.After.WorstCents) != worst {
			continue
		}
		for _, f := range t.Figures {
			if f.After != nil && f.Code == "correction-clamped" && f.Where == "corrections."+v.Name {
				return v.Name
			}
		}
	}
	return ""
}

// unusable names the voices whose readings bear nothing.
func (t tune) unusable() (text string) {
	var lost, unsaid []string
	for i := range t.Voices {
		switch v := &t.Voices[i]; {
		case !v.Tracks:
			lost = append(lost, v.Name)
		case v.Unsaid:
			unsaid = append(unsaid, v.Name)
		}
	}
	if len(lost) > 0 {
		text += fmt.Sprintf("; the pitch of %s does not follow the volts", unit.Several(lost))
	}
	if len(unsaid) > 0 {
		text += fmt.Sprintf("; nothing says whether %s went through corrections", unit.Several(unsaid))
	}
	return text
}

// limit is how far off a corrected key may be of the voice that is known least.
func (t tune) limit() (cents float64) {
	for i := range t.Voices {
		if v := &t.Voices[i]; !v.ByHand && v.Correct != nil && v.Fit != nil && v.Fit.LimitCents != nil {
			cents = math.Max(cents, *v.Fit.LimitCents)
		}
	}
	return cents
}

// oddOne names a voice that stands apart, with what it is apart by, and its first turn.
func (t tune) oddOne(a *contract.Apart) string {
	text := fmt.Sprintf("%s (%s cents", a.Voice, unit.Signed(a.Cents))
	if a.Stretched {
		text += " an octave"
	}
	for i := range t.Turns {
		if u := &t.Turns[i]; u.Voice == a.Voice {
			return text + ": turn " + map[string]string{"scale": "its scale ", "offset": "its offset ", "high": "its highest keys "}[u.Trimmer] + u.Direction + ")"
		}
	}
	return text + ")"
}

func (t tune) refused() (n int) {
	for i := range t.Recordings {
		if t.Recordings[i].Refused != nil {
			n++
		}
	}
	return n
}

// bad tells whether some voice stands apart by what is heard, or some readings bear
// nothing.
func (t tune) bad() bool {
	for _, b := range t.Banks {
		if slices.ContainsFunc(b.Apart, func(a contract.Apart) bool { return a.Heard }) {
			return true
		}
	}
	return t.refused() > 0 || t.unusable() != ""
}

// apart is what a voice stands apart by the most; nil where it does not.
func (t tune) apart(name string) *contract.Apart {
	for _, b := range t.Banks {
		for i := range b.Apart { // the oddest first
			if b.Apart[i].Voice == name {
				return &b.Apart[i]
			}
		}
	}
	return nil
}

// voices is one row per voice.
func (t tune) voices() doc.Table {
	within := "±" + plainNumber(t.WithinCents)
	table := doc.Table{Columns: []doc.Column{words("voice"), number("readings").Ranked(2),
		number("cents sharp"), number("cents an octave"),
		number("z").Ranked(1),
		number("off line").Ranked(3), number("limit of a fit").Ranked(1), number("drift").Ranked(3), words("keys in tune now", within).Ranked(2), words("corrected"),
		words("tuning error now and corrected").Ranked(1)}}
	for i := range t.Voices {
		table.Row("", t.voiceRow(&t.Voices[i])...)
	}
	return table
}

func (t tune) voiceRow(v *contract.TunedVoice) []string {
	row := []string{v.Name, fmt.Sprint(len(v.Readings)), unit.None, unit.None, unit.None, unit.None, unit.None, unit.None, t.keys(v.Before), t.keys(v.After), stray2(v.Budget)}
	if v.Sharp != nil {
		row[2] = unit.Signed(*v.Sharp)
	}
	if f := v.Fit; f != nil {
		if f.StretchPerOct != nil {
			row[3] = unit.Signed(*f.StretchPerOct)
		}
		row[5] = unit.Tenths(math.Abs(f.WorstCents))
		if f.LimitCents != nil {
			row[6] = unit.Tenths(*f.LimitCents)
		}
	}
	switch a := t.apart(v.Name); {
	case a != nil && a.Heard:
		row[4] = unit.Tenths(a.Z) + "!"
	case a != nil:
		row[4] = unit.Tenths(a.Z)
	case v.Z != nil:
		row[4] = unit.Tenths(math.Abs(*v.Z))
	}
	if v.ByHand {
		row[9] = "by hand"
	}
	if v.Drift != nil {
		row[7] = unit.Tenths(v.Drift.SDCents)
	}
	return row
}

// keys names the keys at which a voice is in tune.
func (t tune) keys(in *contract.InTune) string {
	switch {
	case in == nil || in.Judged == 0:
		return unit.None
	case in.LowKey == nil:
		return "nowhere"
	}
	return fmt.Sprintf("%s-%s (%d-%d)", contract.KeyName(*in.LowKey, t.MiddleC), contract.KeyName(*in.HighKey, t.MiddleC), *in.LowKey, *in.HighKey)
}

// stray2 is how far a voice may stray, before and after.
func stray2(b *contract.BudgetShift) string {
	if b == nil {
		return unit.None
	}
	mark := func(assumed bool) string {
		if assumed {
			return "*"
		}
		return ""
	}
	short := func(cents float64) string {
		if cents >= 10 {
			return unit.Fixed(cents, 0)
		}
		return unit.Tenths(cents)
	}
	before := short(b.LikelyBefore) + mark(b.AssumedBefore)
	if b.UnknownBefore {
		before = unknown
	}
	return before + "→" + short(b.LikelyAfter) + mark(b.AssumedAfter)
}

// assumed says how many findings rest on assumed numbers, where that changes.
func (t tune) assumed() string {
	if t.AssumedBefore == t.AssumedAfter {
		return ""
	}
	return fmt.Sprintf("Findings that rest on assumed numbers: %d now, %d corrected.", t.AssumedBefore, t.AssumedAfter)
}

// turnLines say which trimmer to turn, in order: those that must be, and in a
// line those that may be.
func (t tune) turnLines(room Room, most int) []string {
	var lines, rest []string
	more := 0
	for i := range t.Turns {
		switch u := &t.Turns[i]; {
		case !u.Needed:
			rest = append(rest, fmt.Sprintf("%s %s %s", u.Voice, map[string]string{"scale": "scale", "offset": "offset", "high": "highest keys"}[u.Trimmer], u.Direction))
		case len(lines) == most:
			more++
		default:
			lines = append(lines, t.turnLine(u))
		}
	}
	if more > 0 {
		lines = append(lines, fmt.Sprintf("     and %d more: --all has them.", more))
	}
	if len(rest) > 0 && room != Screen {
		lines = append(lines, "Leave these as they are, the corrections do the same: "+strings.Join(rest, "; ")+".")
	}
	return lines
}

func (t tune) turnLine(u *contract.Turn) string {
	what := map[string]string{"scale": "scale (V/oct)", "offset": "offset (tune)", "high": "highest keys, if it has that trimmer"}[u.Trimmer]
	by := unit.Tenths(u.Cents) + " cents"
	if u.StretchPerOct != nil {
		by = fmt.Sprintf("%s cents an octave", unit.Tenths(math.Abs(*u.StretchPerOct)))
	}
	hold := fmt.Sprintf("%.3f V", u.HoldVolts)
	if key := math.Round(u.HoldKey); math.Abs(key-u.HoldKey) < 0.005 {
		hold = fmt.Sprintf("key %s (%.0f), %s", contract.KeyName(int(key), t.MiddleC), key, hold)
	}
	return fmt.Sprintf("%3d. %s, %s: %s by %s. Hold %s, and tune from %s to %s Hz.%s", u.Order, u.Voice, what, u.Direction, by, hold,
		hertz(u.FromHertz), hertz(u.ToHertz), t.reason(u))
}

// reason is why a voice must be turned, with its first turn.
func (t tune) reason(u *contract.Turn) string {
	i := slices.IndexFunc(t.Turns, func(o contract.Turn) bool { return o.Voice == u.Voice })
	if u.Reason == nil || t.Turns[i].Order != u.Order {
		return ""
	}
	switch *u.Reason {
	case "apart":
		return fmt.Sprintf(" It is %s cents from the middle of its bank.", unit.Signed(u.ReasonCents))
	case "stretched":
		return fmt.Sprintf(" It is %s cents an octave from the middle of its bank.", unit.Signed(u.ReasonCents))
	case "no-correction":
		return " Its readings are too poor for a correction."
	case "beyond-range":
		return fmt.Sprintf(" At %s (%d) the CV range falls %s cents short of its correction.", contract.KeyName(*u.ReasonKey, t.MiddleC), *u.ReasonKey, unit.Tenths(math.Abs(u.ReasonCents)))
	}
	return fmt.Sprintf(" Corrected, it is still %s cents off at %s (%d).", unit.Signed(u.ReasonCents), contract.KeyName(*u.ReasonKey, t.MiddleC), *u.ReasonKey)
}

// hertz prints a pitch to about a tenth of a cent.
func hertz(f float64) string {
	switch {
	case f < 100:
		return fmt.Sprintf("%.3f", f)
	case f < 1000:
		return fmt.Sprintf("%.2f", f)
	}
	return fmt.Sprintf("%.1f", f)
}

// turnCautions belong where someone takes up a screwdriver.
func (t tune) turnCautions() []string {
	if len(t.Turns) == 0 {
		return nil
	}
	return []string{
		"Scale comes before offset, since a scale trimmer moves every key but 0 V (common practice, not measured here); then measure that voice again.",
		"Caution: warm up first, mute, and turn with an insulated tool. Leave cases with mains in them to a licensed electrician.",
	}
}

// unisonLines say what becomes of each unison.
func (t tune) unisonLines() []string {
	var lines []string
	for i := range t.Unisons {
		u := &t.Unisons[i]
		name := "part " + u.Part
		if u.Stack != nil {
			name += fmt.Sprintf(" stack %d (%s)", *u.Stack, strings.Join(u.Voices, " "))
		}
		line := fmt.Sprintf("%s: two voices off against each other by up to %s cents now, %s corrected", name, unit.Tenths(u.Before.ApartCents), unit.Tenths(u.After.ApartCents))
		if u.AskedCents != nil && u.Before.SpreadCents != nil && u.After.SpreadCents != nil {
			width := u.AskedCents[len(u.AskedCents)-1] - u.AskedCents[0]
			line = fmt.Sprintf("%s: %s cents wide asked, %s now, %s corrected; errors of up to %s cents now, %s corrected", name, unit.Tenths(width),
				unit.Tenths(*u.Before.SpreadCents), unit.Tenths(*u.After.SpreadCents), unit.Tenths(u.Before.ApartCents), unit.Tenths(u.After.ApartCents))
		}
		if u.Unmeasured > 0 {
			line += fmt.Sprintf("; %d of %d voices unmeasured", u.Unmeasured, len(u.Voices))
		}
		lines = append(lines, line)
	}
	return lines
}

// figureLines say what the corrections change of what check and map say.
func (t tune) figureLines() []string {
	const most = 8
	var lines []string
	for i, f := range t.Figures {
		if i == most {
			lines = append(lines, fmt.Sprintf("and %d more: see --json", len(t.Figures)-most))
			break
		}
		side := func(f *contract.Finding) string {
			if f == nil {
				return "no finding"
			}
			if f.Assumed {
				return f.Text + " (assumed)"
			}
			return f.Text
		}
		line := fmt.Sprintf("%s [%s]: now: %s; corrected: %s", unit.Place(f.Where), f.Code, side(f.Before), side(f.After))
		if f.After != nil && f.After.Hint != nil {
			line += ". Fix: " + *f.After.Hint
		}
		lines = append(lines, line)
	}
	return lines
}

// refusedLines name the recordings that gave no pitch.
func (t tune) refusedLines() []string {
	var lines []string
	for i := range t.Recordings {
		if why := t.Recordings[i].Refused; why != nil {
			lines = append(lines, t.Recordings[i].File+": "+*why)
		}
	}
	return lines
}

// lastLines say what was written, or how to.
func (t tune) lastLines() []string {
	n := len(t.Corrections)
	lines := []string{"There is nothing to write into the rig."}
	switch {
	case n > 0 && t.Written != nil:
		lines = []string{fmt.Sprintf("%s written into %s; the rest of the file is as it was.", unit.Count(n, "correction"), *t.Written)}
	case n > 0:
		lines = []string{fmt.Sprintf("Nothing was written. --write puts %s into %s and changes nothing else there.", unit.Count(n, "correction"), t.RigFile)}
	}
	return slices.Concat(lines, t.byHandLine("Nothing"), t.insteadLines(), t.turnedLine())
}

// byHandLine names the voices of which nothing, or no pitch, is written, and those of them
// that keep what the rig has; none for none.
func (t tune) byHandLine(what string) (lines []string) {
	var kept []string
	for i := range t.Voices {
		if v := &t.Voices[i]; v.ByHand && v.Kept {
			kept = append(kept, v.Name)
		}
	}
	if byHand := t.byHand(); len(byHand) > 0 {
		lines = append(lines, fmt.Sprintf("%s is written for %s: turn the trimmers by hand, then measure again.", what, unit.Several(byHand)))
	}
	switch {
	case len(kept) > 1 && len(kept) == len(t.byHand()):
		lines = append(lines, "The rig keeps their old corrections, which are wrong once you turn.")
	case len(kept) == 1:
		lines = append(lines, fmt.Sprintf("The rig keeps its correction of %s. Once you turn the trimmer it is wrong.", kept[0]))
	case len(kept) > 1:
		lines = append(lines, fmt.Sprintf("The rig keeps its corrections of %s. Once you turn a trimmer that one is wrong.", unit.Several(kept)))
	}
	return lines
}

// byHand are the voices that must be turned by hand.
func (t tune) byHand() (names []string) {
	for i := range t.Voices {
		if t.Voices[i].ByHand {
			names = append(names, t.Voices[i].Name)
		}
	}
	return names
}

// insteadLines name the voices whose corrections take the place of turns, and what those
// cannot mend.
func (t tune) insteadLines() (lines []string) {
	var names, off []string
	var worst *contract.Turn
	for i := range t.Instead {
		u := &t.Instead[i]
		if slices.Contains(names, u.Voice) {
			continue
		}
		if names = append(names, u.Voice); u.ReasonKey == nil {
			continue
		}
		if off = append(off, u.Voice); worst == nil || math.Abs(u.ReasonCents) > math.Abs(worst.ReasonCents) {
			worst = u
		}
	}
	if len(names) > 0 {
		lines = append(lines, fmt.Sprintf("Corrections take the place of turns: leave the trimmers of %s. If you turn one later, say --turned with the next readings.", unit.Several(names)))
	}
	if worst != nil {
		left := fmt.Sprintf("Corrected, %s is still %s cents off at %s (%d)", worst.Voice, unit.Signed(worst.ReasonCents), contract.KeyName(*worst.ReasonKey, t.MiddleC), *worst.ReasonKey)
		if *worst.Reason == "beyond-range" {
			left += ": there its correction meets the end of the CV range"
		}
		if more := slices.DeleteFunc(off, func(name string) bool { return name == worst.Voice }); len(more) > 0 {
			left += ". " + unit.First(more, 4) + " too, by no more"
		}
		lines = append(lines, left+".")
	}
	return lines
}

// turnedLine names the voices whose days before a turn are left out.
func (t tune) turnedLine() (lines []string) {
	if len(t.Turned) > 0 {
		lines = append(lines, fmt.Sprintf("Days before the last one are left out for %s, since a trimmer was turned.", unit.Several(t.Turned)))
	}
	return lines
}

// plainNumber prints a number without needless zeros.
func plainNumber(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.1f", v), "0"), ".")
}

// worstOf is the largest error of the voices that are to be corrected.
func worstOf(voices []contract.TunedVoice, of func(*contract.TunedVoice) *contract.InTune) (worst float64) {
	for i := range voices {
		if t := of(&voices[i]); t != nil && voices[i].Correct != nil && !voices[i].ByHand {
			worst = math.Max(worst, math.Abs(t.WorstCents))
		}
	}
	return worst
}
