package say

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// unisons say what the voices of each part do together that plays several on a note.
func (c *chart) unisons() (blocks []doc.Block) {
	for i := range c.Unisons {
		u := unison{&c.Unisons[i]}
		blocks = append(append(blocks, u.heading(), doc.Paragraph{Text: u.head()}, doc.Figure{Name: Numbered(FigureUnison, i)}), u.below()...)
	}
	return blocks
}

// drawnUnisons say the same for a sheet: what the picture of a unison says, it says alone.
func (c *chart) drawnUnisons() (blocks []doc.Block) {
	for i := range c.Unisons {
		u := unison{&c.Unisons[i]}
		blocks = append(blocks, u.heading(), doc.Figure{Name: Numbered(FigureUnison, i)})
		switch heads, _ := UnisonBeats(u.Unison, inColumn); {
		case u.Of > mostAcross:
			blocks = append(blocks, u.tall())
		case len(heads) <= len(u.Keys[0].Neighbours): // no beats, or not all
			blocks = append(blocks, u.beats())
		}
		blocks = append(blocks, doc.Sentences(upper(u.manner()), u.stacked(), u.inStep()))
	}
	return blocks
}

// inColumn is how many beats have a column of their own in a picture that is as wide as a column of paper.
const inColumn = 4

func (u unison) heading() doc.Heading { return doc.Heading{Text: "Unison of " + u.Part} }

// below is what stands below the picture of a unison.
func (u unison) below() []doc.Block {
	return []doc.Block{u.positions(), u.beats(), doc.Sentences(u.rest()...)}
}

// Unison says what one part does on a note, with its picture; v is nil where that is one voice. Its title
// says what the picture shows.
func Unison(part string, v *contract.Unison) *doc.Doc {
	if v == nil {
		text := part + " plays one voice on a note. Set two or more to detune them."
		d := newDoc(text, "")
		d.Add(doc.Paragraph{Text: text})
		return d
	}
	d := newDoc(UnisonPicture(v), "")
	d.Add(doc.Figure{Name: FigureUnison})
	d.Add(unison{v}.below()...)
	return d
}

// UnisonTried says beside what is set of a unison what the rig says.
func UnisonTried(set, rig contract.UnisonSetting) string {
	if set == rig {
		return "So the rig says."
	}
	said := unit.Count(rig.Voices, "voice") + " on a note"
	if rig.Voices > 1 {
		said += ", " + unit.Cents(rig.SpreadCents) + " apart, " + rig.Law
	}
	return "Not written yet. The rig says: " + said + "."
}

// Patterns are the detune patterns of a unison, and what each does to the ear.
func Patterns() []Term { return slices.Clone(patternTerms) }

var patternTerms = []Term{
	{Name: "uneven", Means: "no two gaps are alike, so no beat repeats another; up to 12 voices."},
	{Name: "even", Means: "all gaps are alike, so all voices beat together."},
	{Name: "power", Means: "the voices crowd towards the middle."},
	{Name: "golden", Means: "two or three kinds of gap, for any number of voices."},
	{Name: "random", Means: "gaps are drawn by the seed of the part."},
}

// unison puts a unison into words.
type unison struct{ *contract.Unison }

// alike tells whether nothing of the detune that is asked for reaches the voices.
func (u unison) alike() bool {
	return u.SpreadCents > 0 && len(u.DetuneCents) > 1 && slices.Max(u.DetuneCents) == slices.Min(u.DetuneCents)
}

// head says what it is.
func (u unison) head() string {
	text := fmt.Sprintf("Unison of %s: %d voices on a note, ", u.Part, u.Of)
	if u.alike() {
		return text + "all at one pitch. " + u.manner()
	}
	return fmt.Sprintf("%sdetune pattern %s, %s from the lowest to the highest; %s", text, u.Law, unit.Cents(u.SpreadCents), u.manner())
}

// manner is what its picture does not say of it.
func (u unison) manner() string {
	if u.alike() {
		return fmt.Sprintf("The rig asks for %s, but voices on one pitch jack cannot be detuned; when short: %s.", unit.Cents(u.SpreadCents), u.WhenShort)
	}
	text := fmt.Sprintf("mean %s cents", unit.Signed(u.MeanCents))
	if u.Recentred {
		text += ", taken out"
	}
	text += "; detune by " + u.DetuneBy + ", constant in " + u.Scaling + "; when short: " + u.WhenShort + "."
	return strings.ReplaceAll(text, "constant in between", "between constant cents and hertz")
}

// mostAcross is how many positions stand side by side in a table. More stand one
// below the other.
const mostAcross = 6

// UnisonPicture says what the picture of a unison shows: how many voices stand how far apart,
// and when they are in step again.
func UnisonPicture(v *contract.Unison) string {
	u := unison{v}
	what := fmt.Sprintf("Unison of %s: %d voices on a note", u.Part, u.Of)
	if u.alike() || u.Course == nil {
		return what + ", all at one pitch."
	}
	k := &u.Keys[1]
	at := fmt.Sprintf("%s (%d)", k.KeyName, k.Key)
	what = fmt.Sprintf("%s, %s apart, %s", what, unit.Cents(u.SpreadCents), u.Law)
	switch again := u.Again(); {
	case u.Throb != nil:
		return fmt.Sprintf("%s: all beat together, every %s at %s.", what, period(again), at)
	case again > 0:
		return fmt.Sprintf("%s: in step again after %s at %s.", what, period(again), at)
	}
	return fmt.Sprintf("%s: not in step again within %s at %s.", what, period(k.WatchedS), at)
}

// positions has a column a position: its detune and its place in the stereo
// field. A large unison has a row a position, with the beat against the next
// one at each key.
func (u unison) positions() doc.Table {
	if u.Of > mostAcross {
		return u.tall()
	}
	t := doc.Table{Columns: []doc.Column{words("position in a unison")}}
	cents, pans := []string{"cents"}, []string{"pan"}
	for i := range u.DetuneCents {
		t.Columns = append(t.Columns, number("one position", i+1))
		cents, pans = append(cents, unit.Signed(u.DetuneCents[i])), append(pans, unit.Pan(u.Pans[i]))
	}
	t.Row("", cents...)
	t.Row("", pans...)
	return t
}

func (u unison) tall() doc.Table {
	t := doc.Table{Columns: []doc.Column{number("position in a unison"), number("detune in cents"), number("pan")}}
	for i := range u.Keys {
		t.Columns = append(t.Columns, number("beat with the next", u.Keys[i].KeyName))
	}
	for i := range u.DetuneCents {
		row := []string{strconv.Itoa(i + 1), unit.Signed(u.DetuneCents[i]), unit.Pan(u.Pans[i])}
		for k := range u.Keys {
			row = append(row, toNext(&u.Keys[k], i+1))
		}
		t.Row("", row...)
	}
	return t
}

// toNext is the beat of a position against the next one above in pitch.
func toNext(k *contract.KeyBeats, position int) string {
	for _, b := range k.Neighbours {
		if b.Low == position {
			return bareHertz(b.BeatHz)
		}
	}
	return unit.None
}

// bareHertz is a frequency in a column that says so.
func bareHertz(f float64) string { return strings.TrimSuffix(unit.Hertz(f), " Hz") }

// UnisonBeats are the beats in Hz that stand in the picture of a unison: a heading, columns, and a
// row for each of three keys. They are those of neighbours in pitch and of the outermost pair, or
// where these are more than so many columns the slowest and the fastest. Voices at one pitch
// have none.
func UnisonBeats(v *contract.Unison, most int) (heads []string, rows [][]string) {
	if (unison{v}).alike() || v.Course == nil {
		return nil, nil
	}
	heads = []string{"Beats, Hz", "slowest", "fastest"}
	few := len(v.Keys[0].Neighbours) < most
	if few {
		heads = heads[:1]
		for _, b := range v.Keys[0].Neighbours {
			heads = append(heads, fmt.Sprintf("%d-%d", b.Low, b.High))
		}
		if len(heads) > 2 {
			heads = append(heads, "outermost")
		}
	}
	for i := range v.Keys {
		k := &v.Keys[i]
		beats := []*contract.Beat{k.Slowest, k.Fastest}
		if few {
			beats = nil
			for j := range k.Neighbours {
				beats = append(beats, &k.Neighbours[j])
			}
			beats = append(beats, k.Fastest)[:len(heads)-1] // the outermost are the fastest
		}
		row := []string{fmt.Sprintf("%s (%d)", k.KeyName, k.Key)}
		for _, b := range beats {
			cell := unit.None
			if b != nil {
				cell = bareHertz(b.BeatHz)
			}
			row = append(row, cell)
		}
		rows = append(rows, row)
	}
	return heads, rows
}

// UnisonFigures are all figures of the picture of a unison in words, for who does not see it.
func UnisonFigures(v *contract.Unison) string {
	u := unison{v}
	cents, pans := make([]string, len(u.DetuneCents)), make([]string, len(u.DetuneCents))
	for i := range u.DetuneCents {
		cents[i], pans[i] = unit.Signed(u.DetuneCents[i]), unit.Pan(u.Pans[i])
	}
	text := fmt.Sprintf("Detune in cents, from position 1: %s. Pan: %s.", strings.Join(cents, ", "), strings.Join(pans, ", "))
	heads, rows := UnisonBeats(v, u.Of)
	for _, row := range rows {
		for i := range heads[1:] {
			row[i+1] = heads[i+1] + " " + row[i+1]
		}
		text += fmt.Sprintf(" %s at %s: %s.", heads[0], row[0], strings.Join(row[1:], ", "))
	}
	return text
}

// pairs are those that have a column: all of them up to four voices, else
// neighbours, and none where positions have rows.
func (u unison) pairs(k *contract.KeyBeats) []contract.Beat {
	switch {
	case u.Of <= 4:
		return k.Beats
	case u.Of <= mostAcross:
		return k.Neighbours
	}
	return nil
}

// beats has a row a key: how fast each two positions beat. On a narrow line the
// pairs go before the slowest and the fastest of them.
func (u unison) beats() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("beats")}}
	for i, p := range u.pairs(&u.Keys[0]) {
		t.Columns = append(t.Columns, number("two positions", p.Low, p.High).Ranked(i+1))
	}
	t.Columns = append(t.Columns, number("slowest"), number("fastest"))
	for i := range u.Keys {
		k := &u.Keys[i]
		row := []string{fmt.Sprintf("%s (%d)", k.KeyName, k.Key)}
		for _, p := range u.pairs(k) {
			row = append(row, bareHertz(p.BeatHz))
		}
		t.Row("", append(row, slowest(k), fastest(k))...)
	}
	return t
}

func slowest(k *contract.KeyBeats) string {
	if k.Slowest == nil || k.Slowest.PeriodS == nil {
		return unit.None
	}
	return fmt.Sprintf("%d-%d %s", k.Slowest.Low, k.Slowest.High, period(*k.Slowest.PeriodS))
}

func fastest(k *contract.KeyBeats) string {
	if k.Fastest == nil {
		return unit.None
	}
	return fmt.Sprintf("%d-%d %s", k.Fastest.Low, k.Fastest.High, unit.Hertz(k.Fastest.BeatHz))
}

// period prints the time from swell to swell: to 0.1 s from 10 s on.
func period(s float64) string {
	if s >= 9.995 {
		return unit.Tenths(s) + " s"
	}
	return unit.Span(s)
}

// rest says what there is to say beside the tables.
func (u unison) rest() []string {
	var lines []string
	for _, line := range []string{u.stacked(), u.inStep()} {
		if line != "" {
			lines = append(lines, line)
		}
	}
	if u.Throb != nil {
		lines = append(lines, fmt.Sprintf("Evenly spaced: at %s all voices beat together, every %s.", u.Keys[1].KeyName, period(u.Throb.PeriodS)))
	}
	return lines
}

// stacked says which voices play a note together.
func (u unison) stacked() string {
	if len(u.Stacks) == 0 {
		return ""
	}
	words := make([]string, len(u.Stacks))
	for i, s := range u.Stacks {
		words[i] = fmt.Sprintf("%d: %s", i+1, strings.Join(s, " "))
	}
	line := "Stacks " + strings.Join(words, "; ")
	if len(u.Idle) > 0 {
		line += "; idle: " + strings.Join(u.Idle, " ")
	}
	return line + "."
}

// inStep says when the stack is in step again, key by key; empty where that says nothing new.
func (u unison) inStep() string {
	if u.Course == nil || u.Of < 3 || u.Throb != nil {
		return ""
	}
	var again, never []string
	watched := math.Inf(1)
	for i := range u.Keys {
		k := &u.Keys[i]
		if k.InStepS == nil {
			never, watched = append(never, k.KeyName), math.Min(watched, k.WatchedS)
			continue
		}
		again = append(again, period(*k.InStepS)+" at "+k.KeyName)
	}
	var lines []string
	if len(again) > 0 {
		lines = append(lines, "In step again, to 1 dB: after "+unit.Several(again)+".")
	}
	if len(never) > 0 {
		lines = append(lines, fmt.Sprintf("Not in step again within %s: at %s.", period(watched), unit.Several(never)))
	}
	return strings.Join(lines, " ")
}
