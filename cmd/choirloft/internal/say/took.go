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
// and what it rests on.
func Took(v *contract.Took) *doc.Doc {
	t := took{v}
	d := newDoc("Take of "+t.Rig+", read", t.Fingerprint)
	tone := doc.Good
	if len(t.faulty()) > 0 {
		tone = doc.Fair
	}
	d.Add(doc.Answer{Text: t.summary(), Tone: tone})
	d.Under("Cables and voices", doc.Sentences(t.faults()...))
	d.Under("Through the corrections", doc.Sentences(t.verified()...))
	if tune := (tune{t.Tuning}); t.Tuning != nil {
		if len(tune.Turns) > 0 {
			d.Under("Turn, in this order", doc.Sentences(tune.turnLines()...), doc.Sentences(tune.turnCautions()...))
		}
	}
	d.Under("Measured", t.voices(), doc.Figure{Name: FigureTake})
	d.Under("Voices needed", doc.Sentences(t.needs()...))
	d.Under("What is written", doc.Sentences(t.lastLines()...))
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

// summary is the answer in a sentence.
func (t took) summary() string {
	if v := t.Verified; v != nil {
		return fmt.Sprintf("%s %s", t.answered(), fmt.Sprintf("Through the corrections %d of %s are within %s cents on every key.", v.InTune, unit.Count(v.Voices, "voice"), plainNumber(v.WithinCents)))
	}
	return t.answered()
}

// answered says how many voices are as they should be.
func (t took) answered() string {
	bad := t.faulty()
	switch {
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
func (t took) faults() (lines []string) {
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
	if len(lines) > 0 {
		lines = append(lines, "Mend that, then record the take again. What is measured now is of the other voices.")
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

// voices is a row a voice.
func (t took) voices() doc.Table {
	table := doc.Table{Columns: []doc.Column{words("voice"), words("answers"), number("cents sharp"), number("give or take"), number("release"), number("attack").Ranked(1), number("voice level").Ranked(1), number("latency"), number("shortest gate").Ranked(2)}}
	for i := range t.Voices {
		v := &t.Voices[i]
		cents, sigma := middle(v)
		table.Row("", v.Name, answers(v), cents, sigma, figure(v.ReleaseS, 1, 2, " s"), figure(v.AttackS, 1000, 1, " ms"), figure(v.LevelDB, 1, 1, " dB"), figure(v.LatencyS, 1000, 1, " ms"), figure(v.GateS, 1000, 0, " ms"))
	}
	return table
}

// middle is by how much a voice is sharp at the middle of its readings, and the
// standard deviation of that reading.
func middle(v *contract.TookVoice) (cents, sigma string) {
	if len(v.Readings) == 0 {
		return unit.None, unit.None
	}
	all := slices.Clone(v.Readings)
	slices.SortStableFunc(all, func(a, b contract.TookReading) int { return a.Key - b.Key })
	m := &all[len(all)/2]
	return unit.Signed(m.Cents), unit.Fixed(m.SigmaCents, 2)
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
		lines = append(lines, fmt.Sprintf("%s: %s s, the median of %s (%s to %s s). The rig has %s s, %s.", r.Kind, plain(r.MedianS), unit.Count(r.Voices, "voice"),
			plain(r.LowS), plain(r.HighS), plain(r.RigS), has))
	}
	return lines
}

// needs says how many voices a song needs with what was measured.
func (t took) needs() []string {
	if t.Needs == nil {
		if len(t.Releases) == 0 || t.Verified != nil {
			return nil
		}
		return []string{"How many voices a song needs goes with its release. Name the song behind the rig to hear it, or run " +
			Typed([]string{"choirloft", "size", t.RigFile}) + " SONG once the rig has the values."}
	}
	before, after := &t.Needs.Before, &t.Needs.After
	name := songName(&t.Needs.Song)
	var lines []string
	if before.HeardNone != nil && after.HeardNone != nil {
		lines = append(lines, fmt.Sprintf("%s needs %s, so that nothing goes missing that you would hear. Before the measurement it was %d.",
			name, unit.Count(*after.HeardNone, "voice"), *before.HeardNone))
	}
	return append(lines, fmt.Sprintf("%s needs %s, so that every release tail rings out. Before it was %d.", name, unit.Count(after.Tails, "voice"), before.Tails))
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
	return append(lines, "Measure these again with a take that is not --through.")
}

func (t took) key(key int) string {
	return fmt.Sprintf("%s (%d)", contract.KeyName(key, t.MiddleC), key)
}

// warmth says by how much the rack moved while it was recorded; a rack that is warm moves
// by less than a cent.
func (t took) warmth() []string {
	const warm = 1.0
	if t.MovedCents == nil {
		return nil
	}
	line := fmt.Sprintf("Between the two roll calls the voices moved by %s cents (median)", unit.Signed(*t.MovedCents))
	if math.Abs(*t.MovedCents) > warm {
		return []string{line + ": the rack was not warm yet. Wait half an hour, and record the take again."}
	}
	return []string{line + ": the rack was warm."}
}

// plain is a number of seconds with the digits that it has.
func plain(seconds float64) string { return unit.Fixed(seconds, -1) }

// lastLines say what was written, or how to.
func (t took) lastLines() []string {
	if t.Verified != nil {
		return []string{"Nothing is written: the take went through the corrections, and verifies them."}
	}
	var lines []string
	what := fmt.Sprintf("release, attack, level, latency and shortest gate of %s", unit.Count(len(t.Answers), "voice"))
	if t.Tuning != nil && len(t.Tuning.Corrections) > 0 {
		what += ", and " + unit.Count(len(t.Tuning.Corrections), "correction")
	}
	switch {
	case len(t.Answers) == 0:
		return []string{"There is nothing to write into the rig."}
	case t.Written != nil:
		lines = append(lines, fmt.Sprintf("Written into %s, as measured: %s. The rest of the file is as it was.", *t.Written, what))
	default:
		lines = append(lines, fmt.Sprintf("Nothing was written. --write puts these into %s: %s.", t.RigFile, what))
	}
	if t.Tuning != nil {
		if by := (tune{t.Tuning}).byHandLine("No pitch"); by != nil {
			lines = append(lines, append(by, "--instead-of-trimming corrects them as they are.")...)
		}
	}
	if t.Written != nil {
		lines = append(lines, "Then "+Typed([]string{"choirloft", "check", t.RigFile})+" lists the trims at the mixer, and "+
			Typed([]string{"choirloft", "write", t.RigFile, "--take", "--through", "-o", "through.mid"})+" verifies the corrections.")
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
		fmt.Sprintf("The take begins %s s into %s. Any other place fits at most %s %% as well.", unit.Fixed(t.StartS, 2), t.Recording, unit.Fixed(100*t.SecondBest, 0))}
	lines = append(lines, t.warmth()...)
	if t.PeakDB != nil && *t.PeakDB > -0.1 {
		lines = append(lines, "The recording meets full scale: levels are too low where it is clipped.")
	}
	return lines
}

// drift says on how many days it rests.
func (t took) drift() string {
	switch {
	case t.Verified != nil:
		return "What corrections leave is of today: drift comes on top."
	case t.Days > 1:
		return fmt.Sprintf("Drift is measured: %d days of readings.", t.Days)
	case t.Days == 1:
		return "Drift stays assumed. Record a take on another day, and give its --date."
	}
	return "Drift stays assumed. With --date the pitches of the day are kept, and a second day measures it."
}

func (t took) limits() []string {
	lines := []string{"A voice with pitch and gate both crossed sounds right: watch the lamps in the roll call.",
		"Latency is counted from the quickest voice, level from the median of all.", t.drift()}
	if slices.ContainsFunc(t.Voices, func(v contract.TookVoice) bool { return v.State == "ok" && v.AttackS == nil }) {
		lines = append(lines, "Attack and latency are read from silence alone: where a long tail still sounds, or no high key is read, a dash stands.")
	}
	if slices.ContainsFunc(t.Voices, func(v contract.TookVoice) bool { return v.State == "stuck" }) {
		lines = append(lines, "Beside a voice that never stops, pitch is 3 cents uncertain, so that no correction rests on it.")
	}
	return lines
}
