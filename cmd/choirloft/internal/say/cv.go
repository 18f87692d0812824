package say

import (
	"fmt"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// CV says what a file of control voltages holds, the caution first, and what the
// song lost.
func CV(v *contract.CV, room Room) *doc.Doc {
	c := cv{v}
	r := result{c.Result, c.MiddleC, wholeJSON}
	d := newDoc("Control voltages of "+SongLabel(&c.Result.Song)+" for "+c.Rig, c.Fingerprint)
	d.Add(doc.Answer{Text: c.summary(), Tone: r.tone()}, doc.Answer{Text: "Caution: " + c.Caution, Tone: doc.Fair})
	blocks := append([]doc.Block{doc.Sentences(r.summary(), r.needHead(), r.basis(), r.rangeLine(), r.verdict())}, r.losses(room)...)
	d.Under("What it loses", append(blocks, r.remarks(room))...)
	d.Under("Channels", doc.Sentences(append([]string{"The signal of each channel is listed in " + c.Sheet + "."}, c.rest()...)...))
	return d
}

// CVSheet is what lies beside the file.
func CVSheet(v *contract.CV) *doc.Doc {
	c := cv{v}
	d := newDoc("Channels of "+c.File, c.Fingerprint)
	d.Add(doc.Answer{Text: c.summary()}, doc.Answer{Text: "CAUTION: " + c.Caution})
	d.Under("Channels", c.channels(), doc.Sentences(c.rest()...))
	return d
}

// cv puts a file of control voltages into words.
type cv struct{ *contract.CV }

// summary is the answer in a sentence.
func (c cv) summary() string {
	return fmt.Sprintf("%s: %s for %s, %s at %d frames a second, %s.", c.File, unit.Count(len(c.Channels), "channel"),
		c.Rig, unit.Length(c.LengthS), c.Rate, c.Samples)
}

// channels is a row a channel.
func (c cv) channels() doc.Table {
	t := doc.Table{Columns: []doc.Column{number("audio channel"), words("signal"), words("jack"), number("from"), number("to"), number("full scale")}}
	volts := func(v float64) string { return fmt.Sprintf("%.3f V", v) }
	for _, x := range c.Channels {
		t.Row("", fmt.Sprint(x.Channel), x.Name, fmt.Sprintf("%s %s %d", x.Interface, x.Kind, x.Jack), volts(x.Low), volts(x.High), volts(x.Full))
	}
	return t
}

// rest says what has no channel, and where the names are.
func (c cv) rest() []string {
	var lines []string
	if len(c.Still) > 0 {
		lines = append(lines, "Without a channel, since nothing in the song moves them: "+unit.Several(c.Still)+".")
	}
	return append(lines, notEmpty([]string{earlyLine(c.Early), rf64Line(c.RF64)})...)
}

// rf64Line says of a file that it is longer than most.
func rf64Line(long bool) string {
	if !long {
		return ""
	}
	return "It is longer than 4 GiB, so it is RF64."
}
