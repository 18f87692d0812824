package say

import (
	"fmt"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Outage says what it means that a voice fails.
func Outage(r *contract.Outage, room Room) *doc.Doc {
	o, d := outage{r}, newDoc(r.Rig+": "+r.Out+" fails", r.Fingerprint)
	d.Add(doc.Answer{Text: o.summary() + ".", Tone: doc.Fair})
	if moves, stay := o.cables(); room == Screen {
		d.Add(doc.Sentences(o.lines()...))
	} else {
		d.Add(doc.List{Items: boxed(o.Out, moves, stay), Boxes: true}, doc.Sentences(o.parts()...))
	}
	d.Under("Lines of the map that change, as they will be", o.rows())
	d.Under("Findings that are new", findings(r.New))
	var songs []doc.Block
	for i := range r.Songs {
		songs = append(songs, outageSong(&r.Songs[i], room)...)
	}
	d.Under("Songs", songs...)
	return d
}

// outage puts it into words.
type outage struct{ *contract.Outage }

// summary is the answer in a sentence.
func (o outage) summary() string {
	text := o.Rig + ": " + o.Out + " fails"
	switch {
	case o.StandIn == nil:
		text += ", and no spare stands in"
	case *o.For != o.Out:
		text += fmt.Sprintf(", and %s stands in for %s", *o.StandIn, *o.For)
	default:
		text += ", and " + *o.StandIn + " stands in"
	}
	if o.Asks {
		text += " (write use_spare: true)"
	}
	moves, stay := o.cables()
	if n := len(moves.Below); n > 0 {
		text += "; " + unit.Count(n, "cable") + " to move"
	} else {
		text += "; no cable has to move"
	}
	if n := len(stay.Below); n > 0 {
		text += "; " + unit.Count(n, "cable") + " may stay"
	}
	return text
}

// lines say what to do with the cables, and which parts have fewer voices.
func (o outage) lines() (lines []string) {
	moves, stay := o.cables()
	if len(moves.Below) > 0 {
		lines = append(lines, "Move, muted: "+strings.Join(moves.Below, "; ")+".")
	}
	if len(stay.Below) > 0 {
		lines = append(lines, pullOnly(o.Out)+". "+strings.Join(stay.Below, ". ")+".")
	}
	return append(lines, o.parts()...)
}

// pullOnly says when a cable that stays is pulled all the same.
func pullOnly(out string) string {
	return "Pull only to take " + out + " out of the rack, muted and at the output first"
}

// boxed are the cables with a box each.
func boxed(out string, moves, stay doc.Item) (items []doc.Item) {
	moves.Text, stay.Text, stay.Optional = "Mute, then move:", pullOnly(out)+":", true
	for _, item := range []doc.Item{moves, stay} {
		if len(item.Below) > 0 {
			items = append(items, item)
		}
	}
	return items
}

// cables are those that move to the spare, and those that stay or are pulled.
func (o outage) cables() (moves, stay doc.Item) {
	for i := range o.Outage.Cables {
		if c := &o.Outage.Cables[i]; c.MovesTo != nil {
			moves.Below, moves.About = append(moves.Below, plugged(c)+" from "+c.Input+" to "+*c.MovesTo), append(moves.About, "move "+c.Cable)
		} else {
			stay.Below, stay.About = append(stay.Below, pulled(c)), append(stay.About, "pull "+c.Cable)
		}
	}
	return moves, stay
}

// parts say which parts have fewer voices.
func (o outage) parts() (lines []string) {
	for i := 0; i < len(o.Outage.Parts); {
		p, names := o.Outage.Parts[i], []string{}
		for ; i < len(o.Outage.Parts) && o.Outage.Parts[i].Before == p.Before && o.Outage.Parts[i].After == p.After; i++ {
			names = append(names, o.Outage.Parts[i].Part)
		}
		lines = append(lines, fmt.Sprintf("Voices for %s: %d, was %d.", unit.List(names), p.After, p.Before))
	}
	if len(o.Outage.Parts) == 0 {
		lines = append(lines, "Every part has as many voices as before.")
	}
	return lines
}

// plugged names a cable and the jack that it comes out of.
func plugged(c *contract.OutageCable) string { return c.Cable + " (" + c.From + ")" }

// pulled names a cable that goes with the voice, and what else hangs on its
// jack.
func pulled(c *contract.OutageCable) string {
	text := plugged(c) + " from " + c.Input
	if len(c.Others) == 0 {
		return text
	}
	text += " (it also feeds " + unit.Several(c.Others)
	if c.BendCents != 0 {
		text += fmt.Sprintf(": pulled, they go %s cents per octave", unit.Signed(c.BendCents))
	}
	return text + ")"
}

// rows are the lines of the map that change.
func (o outage) rows() doc.Table {
	t := voiceTable()
	for i := range o.Map {
		t.Row("", mapVoice{&o.Map[i]}.cells(o.MiddleC)...)
	}
	return t
}

// outageSong says what changes in a song.
func outageSong(s *contract.OutageSong, room Room) []doc.Block {
	lines := []string{songName(&s.Song) + " before: " + costBeside(&s.Before, wrongWords(&s.BeforeLeaves, "at")) + ".", "Then: " + costWords(&s.After, &s.AfterLeaves) + "."}
	if s.Without != nil {
		lines = append(lines, "Without the spare: "+costWords(s.Without, s.WithoutLeaves)+".")
	}
	places, most := s.Worst(len(s.More)), room.of(8, 40)
	return []doc.Block{doc.Sentences(lines...), doc.Paragraph{Text: newLosses(s, len(places), most)}, lossTable(s.More, places[:min(most, len(places))])}
}

// newLosses is the line above the losses that are new, of which so many are ranked, and at
// most so many shown.
func newLosses(s *contract.OutageSong, ranked, most int) string {
	text := "New or worse: " + losses(len(s.More))
	switch {
	case len(s.More) == 0:
		return ""
	case ranked == 0:
		return text + ", none that you would hear."
	case s.After.Heard != nil:
		text += fmt.Sprintf("; you would hear %d of them", ranked)
	}
	if ranked > most {
		return fmt.Sprintf("%s. The worst %d:", text, most)
	}
	return text + ":"
}
