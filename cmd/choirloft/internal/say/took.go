package say

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// FigureTake is the picture of a take: asked against heard.
const FigureTake = "take"

// TakePicture is what stands over the picture of a take.
func TakePicture(v *contract.Took) string { return took{v}.answered() }

// TakeLane is what stands behind the lane of a voice in it.
func TakeLane(v *contract.TookVoice) string {
	if v.State != "ok" {
		return answers(v)
	}
	cents, _ := middle(v)
	words := []string{"ok"}
	if cents != unit.None {
		words = append(words, cents+" cents")
	}
	if v.ReleaseS != nil {
		words = append(words, "release "+figure(v.ReleaseS, 1, 2, " s"))
	}
	return strings.Join(words, ", ")
}

// Took says what a recording of a take tells: cables first, then voices, what to trim,
// and what it rests on. A screen has the worst of each, without the rest.
func Took(v *contract.Took, room Room) *doc.Doc {
	t := took{v}
	d := newDoc("Take of "+t.Rig+", read", t.Fingerprint)
	tone := doc.Good
	if len(t.faulty()) > 0 || t.unheard() || t.Clipped {
		tone = doc.Fair
	}
	d.Add(doc.Answer{Text: t.summary(), Tone: tone}, doc.Sentences(t.alarms()...))
	d.Under("Cables and voices", doc.Sentences(t.faults(room)...))
	d.Under("Through the corrections", doc.Sentences(t.verified()...))
	d.Under("Turn, in this order", doc.Sentences(t.turns(room)...))
	d.Under("Measured", t.voices(room), doc.Figure{Name: FigureTake})
	d.Under("Voices needed", doc.Sentences(t.needs(room)...))
	d.Under("What is written", doc.Sentences(t.lastLines(room)...))
	if room == Screen {
		d.Add(doc.Aside{Text: t.leftOut(len(t.Voices) - len(t.shown(Screen)))})
		return d
	}
	if tune := (tune{t.Tuning}); t.Tuning != nil {
		d.Under("Unisons", doc.Sentences(tune.unisonLines()...))
		d.Under("What the corrections change", doc.Sentences(tune.figureLines()...))
		d.Under("Findings", findings(tune.Findings))
	}
	d.Under("Releases", doc.Sentences(t.releases()...))
	d.Under("Rests on", doc.Sentences(t.rests()...))
	d.Under("What it cannot tell", doc.Sentences(t.limits()...))
	return d
}

// leftOut says what a screen has no room for.
func (t took) leftOut(voices int) string {
	text := "--all says what every figure means, what it rests on, and what no recording can tell."
	var more []string
	if voices > 0 {
		more = append(more, unit.Count(voices, "voice")+" more")
	}
	if t.Tuning != nil && len(t.Tuning.Findings) > 0 {
		more = append(more, unit.Count(len(t.Tuning.Findings), "finding")+" of the tuning")
	}
	if len(more) > 0 {
		text += " It has " + unit.List(more) + " too."
	}
	return text
}

// alarms are what makes the rest doubtful, or comes as a surprise.
func (t took) alarms() (lines []string) {
	if t.Clipped {
		lines = append(lines, "The recording is clipped: its levels and attacks are wrong, so keep them out of the rig. Record it again, quieter.")
	}
	if t.MovedCents != nil && math.Abs(*t.MovedCents) > warmCents {
		lines = append(lines, t.warmth()...)
	}
	lines = append(lines, t.jumped()...)
	if !t.Called {
		lines = append(lines, "No second roll call is heard, so the clocks are not compared. Latency may be 1 ms wrong, pitch 0.05 cents.")
	}
	var late []string
	for i := range t.Voices {
		if v := &t.Voices[i]; v.Late {
			late = append(late, v.Name+" "+figure(v.LatencyS, 1000, 1, " ms"))
		}
	}
	if len(late) > 0 {
		lines = append(lines, fmt.Sprintf("Late: %s. write starts a late voice early; live cannot.", unit.First(late, 4)))
	}
	return lines
}

// warmCents is more than a rack that is warm moves in a take.
const warmCents = 1.0

// turns say what to turn. With a fault that comes first a screen only counts them.
func (t took) turns(room Room) (lines []string) {
	if t.Tuning == nil || len(t.Tuning.Turns) == 0 {
		return nil
	}
	tune := tune{t.Tuning}
	if t.mending(room) {
		return []string{fmt.Sprintf("%s to turn after that: the next take may list others. --all has them.", unit.Count(len(t.Tuning.Turns), "trimmer"))}
	}
	if len(t.faulty()) > 0 {
		lines = append(lines, "First fix what is listed above and record the take again: this list may change.")
	}
	most, cautions := math.MaxInt, tune.turnCautions()
	if room == Screen {
		most, cautions = 3-len(t.alarms())/2, cautions[1:]
		if t.Needs != nil {
			most = max(1, most-1)
		}
	}
	return slices.Concat(lines, tune.turnLines(room, most), cautions)
}

// took puts a take that was read into words.
type took struct{ *contract.Took }

// faulty are the voices that are not as they should be, by name.
func (t took) faulty() (names []string) {
	for i := range t.Voices {
		if t.Voices[i].State != "ok" {
			names = append(names, t.Voices[i].Name)
		}
	}
	return names
}

// mending tells whether a screen is about faults: what comes after them waits for the next take.
func (t took) mending(room Room) bool { return room == Screen && len(t.faulty()) > 0 }

// summary is the answer in a sentence.
func (t took) summary() string {
	if v := t.Verified; t.unheard() {
		return fmt.Sprintf("%s The corrections were not played: %d of %s sound as if there were none.", t.answered(), v.Unheard, unit.Count(v.Bent, "corrected voice"))
	} else if v != nil {
		return fmt.Sprintf("%s %s", t.answered(), fmt.Sprintf("Through the corrections %d of %s are within %s cents on every key.", v.InTune, unit.Count(v.Voices, "voice"), plainNumber(v.WithinCents)))
	}
	return t.answered()
}

// unheard tells whether most voices sound as if nothing had corrected them.
func (t took) unheard() bool { return t.Verified != nil && 2*t.Verified.Unheard > t.Verified.Bent }

// answered says how many voices are as they should be.
func (t took) answered() string {
	bad := t.faulty()
	switch {
	case len(bad) == 0 && len(t.Voices) == 1:
		return fmt.Sprintf("%s: %s answers in its place.", t.Rig, t.Voices[0].Name)
	case len(bad) == 0:
		return fmt.Sprintf("%s: all %s answer in their place.", t.Rig, unit.Count(len(t.Voices), "voice"))
	case len(bad) == 1:
		return fmt.Sprintf("%s: 1 of %s does not answer as it should: %s.", t.Rig, unit.Count(len(t.Voices), "voice"), bad[0])
	}
	return fmt.Sprintf("%s: %d of %s do not answer as they should: %s.", t.Rig, len(bad), unit.Count(len(t.Voices), "voice"), unit.Several(bad))
}

// states are in the order in which they are said: cables before voices.
var tookStates = []string{"crossed", "doubled", "unplugged", "stuck", "silent", "octave"}

// faults says what is wrong, and what cures it.
func (t took) faults(room Room) (lines []string) {
	if t.shifted() {
		lines = append(lines, "Voices sound one place off, one after the other. Look at the port and the channel of the interface first, then at the cables.")
	}
	for _, state := range tookStates {
		for i := range t.Voices {
			if v := &t.Voices[i]; v.State == state {
				if line := t.fault(v); line != "" {
					lines = append(lines, line+unsure(v.Confidence))
				}
			}
		}
	}
	most := 4 - len(t.alarms())/2
	if t.Needs != nil {
		most = max(2, most-1)
	}
	if most = room.of(most, math.MaxInt); len(lines) > most {
		lines = append(lines[:most], fmt.Sprintf("And %d more: --all has them.", len(lines)-most))
	}
	if len(lines) > 0 {
		lines = append(lines, "Mend that, then record the take again. These measurements are of the other voices.")
	}
	return lines
}

// shifted tells whether three voices or more are crossed, all with the one before or all
// with the one after.
func (t took) shifted() bool {
	crossed, up, down := 0, 0, 0
	for i := range t.Voices {
		if t.Voices[i].State != "crossed" {
			continue
		}
		crossed++
		switch with := *t.Voices[i].Faults[0].With; {
		case i > 0 && with == t.Voices[i-1].Name:
			down++
		case i+1 < len(t.Voices) && with == t.Voices[i+1].Name:
			up++
		}
	}
	return crossed >= 3 && max(up, down) == crossed
}

func unsure(confidence float64) string {
	if confidence >= 0.5 {
		return ""
	}
	return " This is not certain: look before you plug."
}

func (t took) fault(v *contract.TookVoice) string {
	f := &v.Faults[0]
	switch v.State {
	case "crossed":
		return t.crossed(v.Name, *f.With)
	case "doubled":
		return fmt.Sprintf("%s sounds along with %s. Look for a gate that leads to both.", *f.With, v.Name)
	case "unplugged":
		return fmt.Sprintf("%s stays on one key, that of 0 V. Plug its pitch cable.", v.Name)
	case "stuck":
		return fmt.Sprintf("%s never stops. Look at its gate cable and its hold switch.", v.Name)
	case "silent":
		return fmt.Sprintf("%s does not sound. Look at its gate cable, its level and its mute.", v.Name)
	}
	way := "high"
	if f.Octaves < 0 {
		way = "low"
	}
	return fmt.Sprintf("%s sounds %s %s. Look at its octave switch.", v.Name, unit.Count(int(math.Abs(float64(f.Octaves))), "octave"), way)
}

// crossed says it once of two that sound in each other's place.
func (t took) crossed(name, with string) string {
	i := slices.IndexFunc(t.Voices, func(v contract.TookVoice) bool { return v.Name == with })
	if o := &t.Voices[i]; o.State == "crossed" && *o.Faults[0].With == name {
		if with < name {
			return ""
		}
		return fmt.Sprintf("%s and %s are crossed. Swap their gate cables, or else their pitch cables: both cure it, and both sound alike.", name, with)
	}
	return fmt.Sprintf("Where %s should sound, the pitch of %s sounds. Look at the gate and the pitch cable of %s.", name, with, name)
}

// voices is one row per voice; where a screen has not room for all, those that are wrong, and
// then those that are furthest off.
func (t took) voices(room Room) doc.Table {
	table := doc.Table{Columns: []doc.Column{words("voice"), words("answers"), number("cents sharp"), number("give or take"), number("release"), number("attack").Ranked(1), number("voice level").Ranked(1), number("latency"), number("shortest gate").Ranked(2)}}
	if room == Screen {
		for i := range table.Columns {
			table.Columns[i].Legend = ""
		}
	}
	for _, v := range t.shown(room) {
		cents, sigma := middle(v)
		table.Row("", v.Name, answers(v), cents, sigma, figure(v.ReleaseS, 1, 2, " s"), figure(t.unclipped(v.AttackS), 1000, 1, " ms"), figure(t.unclipped(v.LevelDB), 1, 1, " dB"), figure(v.LatencyS, 1000, 1, " ms"), figure(v.GateS, 1000, 0, " ms"))
	}
	return table
}

// unclipped is a figure that a recording which is clipped does not tell.
func (t took) unclipped(v *float64) *float64 {
	if t.Clipped {
		return nil
	}
	return v
}

// shown are the voices that there is room for, in their order.
func (t took) shown(room Room) (all []*contract.TookVoice) {
	for i := range t.Voices {
		all = append(all, &t.Voices[i])
	}
	most := max(3, screenLines-t.beside())
	if room != Screen || len(all) <= most {
		return all
	}
	far := func(v *contract.TookVoice) float64 {
		if m := middleReading(v); v.State != "ok" {
			return math.Inf(1)
		} else if m != nil {
			return math.Abs(m.Cents)
		}
		return 0
	}
	slices.SortStableFunc(all, func(a, b *contract.TookVoice) int { return cmp.Compare(far(b), far(a)) })
	all = all[:most]
	slices.SortFunc(all, func(a, b *contract.TookVoice) int { return cmp.Compare(a.FromS, b.FromS) })
	return all
}

// What a screen holds: lines, and characters of each that a sentence goes on in.
const screenLines, screenWide = 48, 74

// beside is how many lines of a screen there are without the rows of voices.
func (t took) beside() int {
	const head, wide = 4, 3 // of the table with its heading; and where faults make it wide
	lines := head
	if len(t.faulty()) > 0 {
		lines += wide
	}
	for i, section := range [][]string{append([]string{t.summary()}, t.alarms()...), t.faults(Screen), t.verified(), t.turns(Screen), t.needs(Screen), t.lastLines(Screen), {t.leftOut(len(t.Voices))}} {
		for _, sentence := range section {
			lines += 1 + (utf8.RuneCountInString(sentence)-1)/screenWide
		}
		if leads := i == 0 || i == 6; len(section) > 0 && !leads {
			lines += 2
		}
	}
	return lines
}

// middle is by how much a voice is sharp at the middle of its readings, and the
// standard deviation of that reading.
func middle(v *contract.TookVoice) (cents, sigma string) {
	m := middleReading(v)
	if m == nil {
		return unit.None, unit.None
	}
	return unit.Signed(m.Cents), unit.Fixed(m.SigmaCents, 2)
}

// middleReading is that of the key in the middle of those under no bend; nil without any.
func middleReading(v *contract.TookVoice) *contract.TookReading {
	var all []*contract.TookReading
	for i := range v.Readings {
		if v.Readings[i].Bend == 0 {
			all = append(all, &v.Readings[i])
		}
	}
	slices.SortStableFunc(all, func(a, b *contract.TookReading) int { return a.Key - b.Key })
	if len(all) == 0 {
		return nil
	}
	return all[len(all)/2]
}

// answers is the state of a voice in a word or two.
func answers(v *contract.TookVoice) string {
	if len(v.Faults) == 0 || v.Faults[0].With == nil {
		return v.State
	}
	return v.State + " with " + *v.Faults[0].With
}

func figure(v *float64, times float64, digits int, of string) string {
	if v == nil {
		return unit.None
	}
	return unit.Fixed(*v*times, digits) + of
}

// releases says what was measured of each kind of voice, beside what the rig has.
func (t took) releases() (lines []string) {
	for i := range t.Releases {
		r := &t.Releases[i]
		has := map[contract.Source]string{contract.Measured: "measured before", contract.FromRig: "not measured", contract.Assumed: "assumed"}[r.Basis]
		lines = append(lines, fmt.Sprintf("%s: %s s, the middle one of %s (%s to %s s). The rig has %s s, %s.", r.Kind, plain(r.MedianS), unit.Count(r.Voices, "voice"),
			plain(r.LowS), plain(r.HighS), plain(r.RigS), has))
	}
	return lines
}

// needs says how many voices a song needs with what was measured.
func (t took) needs(room Room) []string {
	if t.Needs == nil {
		if len(t.Releases) == 0 || t.Verified != nil {
			return nil
		}
		return []string{"Name a song after the rig, and this says how many voices it needs with these releases."}
	}
	before, after := &t.Needs.Before, &t.Needs.After
	name := songName(&t.Needs.Song)
	var lines []string
	if before.HeardNone != nil && after.HeardNone != nil {
		lines = append(lines, fmt.Sprintf("%s needs %s (it was %d): nothing goes missing that you would hear.", name, unit.Count(*after.HeardNone, "voice"), *before.HeardNone))
	}
	if t.mending(room) {
		return append(lines, t.own())
	}
	lines = append(lines, fmt.Sprintf("%s needs %s (it was %d): every release tail rings out.", name, unit.Count(after.Tails, "voice"), before.Tails))
	if v := t.Needs.LongestVoice; v != nil {
		lines = append(lines, fmt.Sprintf("Both are for voices that all ring as long as %s: %s s.", *v, plain(t.Needs.LongestS)))
	}
	lines = append(lines, t.own())
	if n := t.Needs.Unplayed; n > 0 {
		text, _ := unplayed{t.Needs.UnmappedKeys, t.MiddleC}.channels()
		lines = append(lines, fmt.Sprintf("%s not counted, since no part plays %s.", unit.Count(n, "further note")+" "+are(n), text))
	}
	return lines
}

// own says what a song loses on the voices that there are.
func (t took) own() string {
	own := "Your own " + unit.Count(t.Needs.Voices, "voice")
	if t.Needs.Away > 0 {
		own = fmt.Sprintf("Of your own %s the %d that answer", unit.Count(t.Needs.Voices+t.Needs.Away, "voice"), t.Needs.Voices)
	}
	own += ", each as it was measured: "
	if n := t.Needs.Own.Damaged; n > 0 {
		own += unit.Count(n, "note") + " cut short or dropped."
	} else {
		own += "no note cut short or dropped."
	}
	if h := t.Needs.OwnHeard; h != nil && h.Faint != nil {
		own += " " + youHear(h) + "."
	}
	return own
}

// verified says how far keys are off through the corrections.
func (t took) verified() (lines []string) {
	const most = 6
	if t.Verified == nil {
		return nil
	}
	for i, w := range t.Verified.Worst {
		switch far := math.Abs(w.Cents) > t.Verified.WithinCents; {
		case i == most && far:
			return append(lines, "There are more: see --json. Measure them again with a take that is not --through.")
		case far:
			lines = append(lines, fmt.Sprintf("%s is %s cents off at %s, through its correction.", w.Voice, unit.Signed(w.Cents), t.key(w.Key)))
		case i == 0:
			return []string{fmt.Sprintf("The worst key is %s of %s, %s cents off.", t.key(w.Key), w.Voice, unit.Signed(w.Cents))}
		}
	}
	if t.unheard() {
		return []string{"The file holds the corrections as pitch bends, and sets the bend range itself (RPN 0).",
			"Check that the interface follows bends, and has the bend range that the rig says. Then record it again."}
	}
	return append(lines, "Measure these again with a take that is not --through.")
}

func (t took) key(key int) string {
	return fmt.Sprintf("%s (%d)", contract.KeyName(key, t.MiddleC), key)
}

// warmth says by how much the rack moved while it was recorded; a rack that is warm moves
// by less than a cent.
func (t took) warmth() []string {
	if t.MovedCents == nil {
		return nil
	}
	line := fmt.Sprintf("Between the two roll calls the voices moved by %s cents", unit.Signed(*t.MovedCents))
	if math.Abs(*t.MovedCents) > warmCents {
		return []string{line + ": the rack was not warm yet. Wait half an hour, and record the take again."}
	}
	return []string{line + ": the rack was warm."}
}

// plain is a number of seconds with the digits that it has.
func plain(seconds float64) string { return unit.Fixed(seconds, -1) }

// lastLines say what was written, or how to.
func (t took) lastLines(room Room) []string {
	if t.Verified != nil {
		return []string{"Nothing is written: the take went through the corrections, and verifies them."}
	}
	var lines []string
	what := unit.Count(len(t.Answers), "voice")
	if len(t.Gives) > 0 {
		what = strings.ReplaceAll(unit.List(t.Gives), "min_gate", "shortest gate") + " of " + what
	}
	if t.Tuning != nil && len(t.Tuning.Corrections) > 0 {
		what += ", and " + unit.Count(len(t.Tuning.Corrections), "correction")
	}
	switch {
	case len(t.Answers) == 0:
		return []string{"There is nothing to write into the rig."}
	case t.Asked && t.Written == nil:
		lines = append(lines, fmt.Sprintf("%s says all of this already, so that nothing was left to write.", t.RigFile))
	case t.Written != nil:
		lines = append(lines, fmt.Sprintf("Written into %s, as measured: %s. Nothing else is changed.", *t.Written, what))
	default:
		lines = append(lines, fmt.Sprintf("Nothing was written. --write puts these into %s: %s.", t.RigFile, what))
	}
	if t.Tuning != nil {
		tune := tune{t.Tuning}
		if by := tune.byHandLine("No pitch"); by != nil && !t.mending(room) {
			as := "it as it is"
			if len(tune.byHand()) > 1 {
				as = "them as they are"
			}
			lines = append(lines, append(by, "--instead-of-trimming corrects "+as+".")...)
		}
		lines = slices.Concat(lines, tune.insteadLines(), t.anew(room))
	}
	if t.Written != nil && len(t.faulty()) == 0 && (t.Tuning == nil || len((tune{t.Tuning}).byHand()) == 0) { // else that comes first
		lines = append(lines, "Then "+Typed([]string{"choirloft", "check", t.RigFile})+" lists the trims at the mixer, and "+
			Typed([]string{"choirloft", "write", t.RigFile, "--take", "--through", "-o", "through.mid"})+" verifies the corrections, with tune --verify.")
	}
	if t.Date == nil && len(t.Answers) > 0 {
		lines = append(lines, "Without --date the values have no date, and the pitches are not kept for the drift.")
	}
	if t.Later != nil {
		lines = append(lines, fmt.Sprintf("The rig has later pitches, of %s: its corrections rest on those.", *t.Later))
	}
	return lines
}

// rests says what the answer rests on.
func (t took) rests() []string {
	way := "fast"
	if t.ClockPPM < 0 {
		way = "slow"
	}
	lines := []string{fmt.Sprintf("The recorder runs %s ppm %s against the player. Pitch rests on the player's clock: 100 ppm are 0.17 cents, for all voices.", unit.Fixed(math.Abs(t.ClockPPM), 0), way),
		fmt.Sprintf("The take begins %s s into %s. No other place fits more than %s %% as well.", unit.Fixed(t.StartS, 2), t.Recording, unit.Fixed(100*t.SecondBest, 0))}
	lines = append(lines, t.warmth()...)
	return lines
}

func (t took) limits() []string {
	lines := []string{"A voice with pitch and gate both crossed sounds right: watch the lamps in the roll call.",
		"Latency is counted from the quickest voice, level from the voice in the middle."}
	lines = append(lines, t.drift()...)
	if slices.ContainsFunc(t.Voices, func(v contract.TookVoice) bool { return v.State == "ok" && v.AttackS == nil }) {
		lines = append(lines, "Attack and latency are read from silence alone: where a long tail still sounds, or no high key is read, a dash stands.")
	}
	if slices.ContainsFunc(t.Voices, func(v contract.TookVoice) bool { return v.State == "stuck" }) {
		lines = append(lines, "Beside a voice that never stops, pitch is 3 cents uncertain, so that no correction rests on it.")
	}
	return lines
}
