package say

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Replay says what became of one song: the answer first, then what it rests
// on. The drawing of what each voice plays is the figure "lanes".
func Replay(v *contract.Replay, room Room) *doc.Doc { return replay(v, room, true) }

// ReplayButLosses is the same on paper, for who lists the losses otherwise.
func ReplayButLosses(v *contract.Replay) *doc.Doc { return replay(v, Paper, false) }

func replay(v *contract.Replay, room Room, losses bool) *doc.Doc {
	r := resultOf(v)
	d := newDoc(SongLabel(&v.Song)+" on "+v.Rig, v.Fingerprint)
	d.Add(r.answer()...)
	if r.Song.Notes > 0 && losses {
		d.Under("Losses", append([]doc.Block{r.spark()}, r.losses(room)...)...)
	}
	if r.Song.Notes > 0 {
		d.Under("What became of the notes", r.endings(room), r.moreParts(room), doc.Paragraph{Text: r.demandLine(room)},
			doc.Sentences(r.some(r.ruleLines(), room.of(2, math.MaxInt))...), doc.Paragraph{Text: r.restLine()})
		if room != Screen { // which has no room for it, and no pictures
			d.Page("What the voices did", doc.Figure{Name: "lanes"}, r.use())
		}
	}
	d.Under("About the song", r.remarks(room))
	if room == Paper {
		d.Under("Findings", findings(v.Findings))
	}
	return d
}

// result puts what became of one song into words.
type result struct {
	*contract.Result
	middleC int
	rest    string // what shows what a screen leaves out
}

// wholeList is the flag of replay that shows everything; other commands have it
// in their JSON.
const (
	wholeList = "--all"
	wholeJSON = "--json"
)

func resultOf(v *contract.Replay) result {
	return result{&v.Result, v.MiddleC, wholeList}
}

// answer is the head, then what plays wrong in which part, and what no rule can
// better.
func (r result) answer() []doc.Block {
	head := r.head()
	more := notEmpty([]string{r.heardLine(), r.alteredLine(), unheard(r.Hearing, "song"), r.rangeLine(), oneVoiceLine(&r.RestsOn.Values)})
	return []doc.Block{doc.Answer{Text: head[0], Tone: r.tone()}, doc.Sentences(slices.Concat(head[1:], more, r.wrong(), []string{r.verdict()})...)}
}

// fill sets the sentences of the JSON.
func (r result) fill() {
	r.Summary, r.Verdict = r.summary(), strings.Join(notEmpty([]string{r.needHead(), r.verdict()}), " ")
}

// tone is that of the answer.
func (r result) tone() doc.Tone {
	switch {
	case r.Damaged > 0 || len(r.WrongPitch)+len(r.NoJack) > 0 || r.Flags.Unmapped > 0:
		return doc.Bad
	case len(r.OldReadings) > 0 || r.lossHeard() || r.LostGateS > 0:
		return doc.Fair
	}
	return doc.Good
}

// mostParts is how many parts a screen has room for.
const mostParts = 6

// endings says what became of the notes, a row a part: those that lose most
// first where there is no room for all.
func (r result) endings(room Room) doc.Table {
	var shown []study.Ending
	t := doc.Table{Columns: []doc.Column{words("part"), number("peak").Ranked(2), number("notes")}}
	for e := range study.NumEndings {
		if r.Endings[e] > 0 && (room != Screen || r.Heard == nil || !ofTail(e)) {
			shown = append(shown, e)
			t.Columns = append(t.Columns, number(endingTerms[e].Name).Ranked(endingRank(e)))
		}
	}
	lossy := r.LostGateS > 0
	if lossy {
		t.Columns = append(t.Columns, number("lost"))
		if room != Screen {
			t.Columns = append(t.Columns, number("best possible lost").Ranked(1))
		}
	}
	heard := r.Heard != nil && r.lossHeard()
	if heard {
		t.Columns = append(t.Columns, number("seconds heard").Ranked(2), number("seconds plain").Ranked(2), number("heard losses"), number("plain losses").Ranked(1))
	}
	row := func(name string, notes int, of *contract.Totals, h *contract.HeardFigures) {
		cells := []string{name, peak(of), unit.Cell(notes)}
		for _, e := range shown {
			cells = append(cells, unit.Cell(of.Endings[e]))
		}
		if lossy {
			cells = append(cells, unit.Span(of.LostGateS))
			if room != Screen {
				cells = append(cells, unit.Span(of.Bound.UnavoidableS))
			}
		}
		if heard {
			cells = append(cells, heardCells(h)...)
		}
		t.Row("", cells...)
	}
	parts := r.partsShown(room)
	for _, i := range parts {
		row(r.Parts[i].Name, r.Parts[i].Notes, &r.Parts[i].Totals, r.Parts[i].Heard)
	}
	if len(r.Parts) != 1 || r.Dealt {
		row("all", r.Song.Notes, &r.Totals, r.heardFigures())
	}
	return t
}

// partsShown are the parts of a table: of a song that was dealt none, since
// every voice is one; those that lose most where there is no room for all.
func (r result) partsShown(room Room) []int {
	if r.Dealt {
		return nil
	}
	order := make([]int, len(r.Parts))
	for i := range order {
		order[i] = i
	}
	if most := room.of(mostParts, len(order)); len(order) > most {
		slices.SortStableFunc(order, func(i, j int) int {
			a, b := &r.Parts[i], &r.Parts[j]
			return cmp.Or(cmp.Compare(b.Endings[study.Dropped], a.Endings[study.Dropped]), cmp.Compare(dbs(b.Heard), dbs(a.Heard)), cmp.Compare(b.Damaged, a.Damaged), cmp.Compare(b.LostGateS, a.LostGateS),
				cmp.Compare(b.Endings[study.TailCutOtherKey], a.Endings[study.TailCutOtherKey]))
		})
		order = order[:most]
	}
	return order
}

// losses are the worst losses with a line that says how many there are. Notes at the
// wrong pitch have lines of their own above, and here no room on a screen.
func (r result) losses(room Room) []doc.Block {
	if room == Paper && len(r.Losses) > 0 {
		return r.reported()
	}
	most := room.of(max(3, 6-r.longHead()), 40)
	if r.Heard != nil && !r.lossHeard() {
		most = room.of(0, 40)
	}
	var worst []int
	for _, at := range r.Worst(len(r.Losses)) {
		l := &r.Losses[at]
		unheard := r.Heard != nil && r.lossHeard() && (l.HeardOne == nil || l.HeardDB == nil)
		if len(worst) < most && (room == All || !l.WrongPitch() && !(room == Screen && unheard)) {
			worst = append(worst, at)
		}
	}
	if len(worst) == 0 && most > 0 || len(r.Losses) == 0 {
		return nil
	}
	return []doc.Block{doc.Paragraph{Text: r.lossLine(len(worst))}, lossTable(r.Losses, worst)}
}

// mostCut and mostBeside are how many losses a report names: notes that are cut short or
// dropped, and what else you would hear, tails mostly.
const mostCut, mostBeside = 200, 40

// reported names the losses of a report: all notes that are cut short or dropped, what you
// hear most first, then the worst of the others.
func (r result) reported() (blocks []doc.Block) {
	var cut, beside, wrong []int
	for _, at := range r.Worst(len(r.Losses)) {
		switch l := &r.Losses[at]; {
		case l.Damaged():
			cut = append(cut, at)
		case l.WrongPitch(): // which has lines of its own
			wrong = append(wrong, at)
		default:
			beside = append(beside, at)
		}
	}
	if r.Heard != nil && !r.lossHeard() {
		blocks = append(blocks, doc.Paragraph{Text: r.lossLine(len(r.Losses))})
	}
	beside = append(beside, wrong...)
	how := "Cut short or dropped"
	if r.Endings[study.LateStart] > 0 {
		how = "Cut short, dropped or late"
	}
	for _, x := range []struct {
		places []int
		most   int
		all    string
		some   string
	}{{cut, mostCut, how + ": %s, the worst first:", how + ": the worst %d of %s (%s shows all):"},
		{beside, mostBeside, "What else is lost: %s, the worst first:", "What else is lost: the worst %d of %s (%s shows all):"}} {
		n := len(x.places)
		of := losses(n)
		if x.most == mostCut {
			of = unit.Count(n, "note")
		}
		switch {
		case n == 0:
			continue
		case n <= x.most:
			blocks = append(blocks, doc.Paragraph{Text: fmt.Sprintf(x.all, of)})
		default:
			blocks = append(blocks, doc.Paragraph{Text: fmt.Sprintf(x.some, x.most, of, r.rest)})
		}
		blocks = append(blocks, lossTable(r.Losses, x.places[:min(n, x.most)]))
	}
	return blocks
}

// longHead is by how many lines of a terminal the head is longer than usual.
func (r result) longHead() int {
	const usual = 9
	lines := -usual
	for _, b := range r.answer()[1:] {
		for _, item := range b.(doc.List).Items {
			lines += (utf8.RuneCountInString(item.Text) + headWidth - 1) / headWidth
		}
	}
	return max(0, lines)
}

// lossTable lists the losses at some places, a row each. A column in which none has
// anything is left out.
func lossTable(losses []contract.Loss, places []int) doc.Table {
	t := doc.Table{Columns: []doc.Column{words("bar.beat"), number("time").Ranked(4), words("heard loss"), words("voice").Ranked(1),
		words("what goes missing").Folds(56), number("lost").Ranked(2), number("level").Ranked(3), words("cause").Ranked(3)}}
	for _, at := range places {
		l := &losses[at]
		t.Row("", unit.Beat(l.BarNumber, l.Beat), unit.Clock(l.AtS), heardCell(l.HeardOne), lossVoice(l), lossText(l), unit.Span(l.LostS), unit.Level(l.LevelDB),
			causeLabels[l.Cause])
		t.About("loss " + strconv.Itoa(at))
	}
	return t.WithoutEmpty(unit.None)
}

// moreParts says how many parts a table leaves out.
func (r result) moreParts(room Room) doc.Paragraph {
	n := len(r.Parts) - len(r.partsShown(room))
	if r.Dealt || n == 0 {
		return doc.Paragraph{}
	}
	return doc.Paragraph{Text: unit.Count(n, "more part") + " with " + r.rest + "."}
}

// mostVoices is how many voices are shown one by one; more are by bank.
const mostVoices = 24

// use says what each voice in service did, or for many what each bank did.
func (r result) use() doc.Table {
	serving := r.Serving()
	if len(serving) > mostVoices {
		t := doc.Table{Columns: []doc.Column{words("bank"), number("voices"), number("in service"), number("notes"), number("held"),
			number("sounding"), number("jump")}}
		for i := range r.Banks {
			b := &r.Banks[i]
			t.Row("", b.Name, unit.Cell(b.Voices), unit.Cell(b.InService), unit.Cell(b.Takes),
				unit.Percent(b.HeldShare), unit.Percent(b.SoundingShare), unit.Cell(b.MostSemitones))
		}
		return t
	}
	t := doc.Table{Columns: []doc.Column{words("voice"), number("notes"), number("held"), number("sounding"), number("jump")}, Aside: true}
	for _, v := range serving {
		t.Row("", v.Name, unit.Cell(v.Takes), unit.Percent(v.HeldShare), unit.Percent(v.SoundingShare), unit.Cell(v.MostSemitones))
		t.About(aboutVoice(v.Name))
	}
	return t
}

// remarks tells what is odd about the song, and what more there is to say.
func (r result) remarks(room Room, more ...string) doc.List {
	if room == Screen {
		return doc.Sentences(append(r.some(append(more, r.flagLines()...), mostRemarks), oddLine(&r.Song, r.rest))...)
	}
	l := doc.Sentences(slices.Concat(more, r.rangeLines(), r.flagLines(), r.earLines())...)
	l.Items = append(l.Items, oddities(&r.Song, room.of(0, 10)).Items...)
	return l
}

// mostRemarks is how many remarks a screen has room for.
const mostRemarks = 3

// some returns the first lines, and says how many more there are.
func (r result) some(lines []string, most int) []string {
	if len(lines) <= most {
		return lines
	}
	return append(lines[:most:most], fmt.Sprintf("%d more with %s.", len(lines)-most, r.rest))
}
