package say

import (
	"strconv"

	"choirloft/alloc/study"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Replay says what became of one song: the answer first, then what it rests
// on. The drawing of what each voice plays is the figure "lanes".
func Replay(v *contract.Replay, room Room) *doc.Doc {
	r := resultOf(v)
	d := newDoc(SongLabel(&v.Song)+" on "+v.Rig, v.Fingerprint)
	d.Add(doc.Answer{Text: r.summary(), Tone: r.tone()}, doc.Paragraph{Text: r.verdict()})
	if r.Song.Notes > 0 {
		d.Add(doc.Paragraph{Text: r.demandLine()})
		d.Under("What became of the notes", r.endings(), doc.Sentences(r.ruleLines()...))
		d.Under("Losses", r.losses(room)...)
		d.Page("What the voices did", doc.Figure{Name: "lanes"}, r.use(), doc.Paragraph{Text: r.restLine()})
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
	on      string // the rig
	middleC int
}

func resultOf(v *contract.Replay) result {
	return result{&v.Result, label(v.Rig, v.Fingerprint), v.MiddleC}
}

// fill sets the sentences of the JSON.
func (r result) fill() { r.Summary, r.Verdict = r.summary(), r.verdict() }

// tone is that of the answer.
func (r result) tone() doc.Tone {
	switch {
	case r.Damaged > 0:
		return doc.Bad
	case r.LoudestCutDB != nil || r.LostGateS > 0:
		return doc.Fair
	}
	return doc.Good
}

// endings says what became of the notes, a row a part.
func (r result) endings() doc.Table {
	var shown []study.Ending
	t := doc.Table{Columns: []doc.Column{doc.Words("Part"), doc.Number("Most at once").Ranked(2), doc.Number("Notes")}}
	for e := range study.NumEndings {
		if r.Endings[e] > 0 {
			shown = append(shown, e)
			t.Columns = append(t.Columns, doc.Number(endingWords[e].head).Ranked(endingRank(e)))
		}
	}
	lossy := r.LostGateS > 0
	if lossy {
		t.Columns = append(t.Columns, doc.Number("Lost"), doc.Number("Must lose").Ranked(1))
	}
	row := func(name string, notes int, of *contract.Totals) {
		cells := []string{name, atOnce(of), unit.Cell(notes)}
		for _, e := range shown {
			cells = append(cells, unit.Cell(of.Endings[e]))
		}
		if lossy {
			cells = append(cells, unit.Span(of.LostGateS), unit.Span(of.Bound.UnavoidableS))
		}
		t.Row("", cells...)
	}
	for i := range r.Parts {
		if !r.Dealt {
			row(r.Parts[i].Name, r.Parts[i].Notes, &r.Parts[i].Totals)
		}
	}
	if len(r.Parts) != 1 || r.Dealt {
		row("all", r.Song.Notes, &r.Totals)
	}
	return t
}

// endingRank says which endings a narrow table leaves out first: those that
// cost nothing.
func endingRank(e study.Ending) int {
	switch e {
	case study.Complete, study.Superseded, study.TailCutInaudible:
		return 4
	case study.TailCutOwnKey:
		return 3
	}
	return 0
}

// losses are the worst losses with a line that says how many there are.
func (r result) losses(room Room) []doc.Block {
	most := room.of(8, 40)
	worst := r.Worst(most)
	if len(worst) == 0 {
		return nil
	}
	return []doc.Block{doc.Paragraph{Text: r.lossLine(most)}, lossTable(r.Losses, worst)}
}

// lossTable lists the losses at some places, a row each.
func lossTable(losses []contract.Loss, places []int) doc.Table {
	t := doc.Table{Columns: []doc.Column{doc.Words("Bar"), doc.Number("Time").Ranked(4), doc.Words("Part"), doc.Words("Key"), doc.Words("Voice").Ranked(1),
		doc.Words("Ending"), doc.Number("Lost"), doc.Number("Level").Ranked(2), doc.Words("Cause").Ranked(3), doc.Words("Taken by")}}
	for _, at := range places {
		l := &losses[at]
		t.Row("", l.Bar, unit.Clock(l.AtS), l.Part, lossKey(l), lossVoice(l), EndingLabel(l.Ending), unit.Span(l.LostS), unit.Level(l.LevelDB), l.Cause, lossTaker(l))
		t.About("loss " + strconv.Itoa(at))
	}
	return t
}

// mostVoices is how many voices are shown one by one; more are by bank.
const mostVoices = 24

// use says what each voice in service did, or for many what each bank did.
func (r result) use() doc.Table {
	serving := r.Serving()
	if len(serving) > mostVoices {
		t := doc.Table{Columns: []doc.Column{doc.Words("Bank"), doc.Number("Voices"), doc.Number("In service"), doc.Number("Takes"), doc.Number("Held"),
			doc.Number("Sound"), doc.Number("Jump (st)")}}
		for i := range r.Banks {
			b := &r.Banks[i]
			t.Row("", b.Name, unit.Cell(b.Voices), unit.Cell(b.InService), unit.Cell(b.Takes),
				unit.Percent(b.HeldShare), unit.Percent(b.SoundingShare), unit.Cell(b.MostSemitones))
		}
		return t
	}
	t := doc.Table{Columns: []doc.Column{doc.Words("Voice"), doc.Number("Takes"), doc.Number("Held"), doc.Number("Sound"), doc.Number("Jump (st)")}, Aside: true}
	for _, v := range serving {
		t.Row("", v.Name, unit.Cell(v.Takes), unit.Percent(v.HeldShare), unit.Percent(v.SoundingShare), unit.Cell(v.MostSemitones))
		t.About(aboutVoice(v.Name))
	}
	return t
}

// remarks tells what is odd about the song, and what more there is to say.
func (r result) remarks(room Room, more ...string) doc.List {
	most := room.of(3, 10)
	l := doc.Sentences(append(more, r.flagLines()...)...)
	l.Items = append(l.Items, oddities(&r.Song, most).Items...)
	return l
}
