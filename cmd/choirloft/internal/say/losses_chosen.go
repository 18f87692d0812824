package say

import (
	"fmt"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Chosen lists losses that were chosen, up to a number of them, the most heard first.
func Chosen(v *contract.Replay, list *contract.LossList, most int) *doc.Doc {
	d := newDoc(SongLabel(&v.Song)+" on "+v.Rig, "")
	d.Add(doc.Paragraph{Text: chosenLine(v, list, most)})
	if shown := list.Order[:min(most, len(list.Order))]; len(shown) > 0 {
		d.Add(lossTable(v.Losses, shown))
	}
	return d
}

// MostHeard lists the losses that are heard most, up to a number of them, in few words; nothing
// where none is heard.
func MostHeard(v *contract.Replay, most int) *doc.Doc {
	d := newDoc(SongLabel(&v.Song)+" on "+v.Rig, "")
	list := v.Choose(contract.LossFilter{})
	if v.Heard == nil || list.Heard == 0 {
		return d
	}
	t := doc.Table{Columns: []doc.Column{words("bar.beat"), words("heard loss"), words("what goes missing").Folds(56)}}
	for _, at := range list.Order[:min(most, list.Heard)] {
		l := &v.Losses[at]
		t.Row("", unit.Beat(l.BarNumber, l.Beat), heardCell(l.HeardOne), lossText(l))
		t.About("loss " + strconv.Itoa(at))
	}
	d.Add(t)
	if more := list.Heard - most; more > 0 {
		d.Add(doc.Aside{Text: fmt.Sprintf("You would hear %d more: see Losses.", more)})
	}
	return d
}

// OneLoss is the row of a loss.
func OneLoss(v *contract.Replay, place int) *doc.Doc {
	d := newDoc(SongLabel(&v.Song)+" on "+v.Rig, "")
	d.Add(lossTable(v.Losses, []int{place}))
	return d
}

// chosenLine counts what was chosen.
func chosenLine(v *contract.Replay, list *contract.LossList, most int) string {
	of := ""
	if list.Part != "" {
		of = " of " + list.Part
	}
	if list.Kind != "" {
		of += ", " + LossKindLabel(list.Kind)
	}
	wrong := ""
	if list.Kind == "" && list.WrongPitch > 0 {
		wrong = " Besides, " + unit.Count(list.WrongPitch, "note") + " at the wrong pitch."
	}
	if list.Losses == 0 {
		return "No loss" + of + "." + wrong
	}
	text := upper(losses(list.Losses)) + of
	if v.Heard != nil {
		text += fmt.Sprintf("; you would hear %s", heardOf(list.Heard, list.Losses))
	}
	switch {
	case list.Losses > most && v.Heard == nil:
		return fmt.Sprintf("%s.%s The first %d, the worst first:", text, wrong, most)
	case list.Losses > most:
		return fmt.Sprintf("%s.%s The first %d, the most heard first:", text, wrong, most)
	case list.Losses == 1 && wrong == "":
		return text + ":"
	}
	first := " The most heard first:"
	if v.Heard == nil {
		first = " The worst first:"
	}
	return text + "." + wrong + first
}

func heardOf(n, all int) string {
	switch {
	case n == 0:
		return "none"
	case n == all && all == 1:
		return "it"
	case n == all:
		return "all"
	}
	return fmt.Sprint(n)
}

// LossChoice is what a filter of losses offers: a part or a kind by its name, and what it
// is called, with the number of its losses.
type LossChoice struct {
	Name  string `json:"name"`
	Label string `json:"label"`
}

// LossChoices are the parts and kinds that there are to choose from, all of them first.
func LossChoices(list *contract.LossList) (parts, kinds []LossChoice) {
	sum := func(of []contract.LossCount) (n int) {
		for _, c := range of {
			if c.Name != contract.FlagWrongPitch {
				n += c.Losses
			}
		}
		return n
	}
	parts = []LossChoice{{"", fmt.Sprintf("every part (%d)", sum(list.Parts))}}
	for _, c := range list.Parts {
		parts = append(parts, LossChoice{c.Name, fmt.Sprintf("%s (%d)", c.Name, c.Losses)})
	}
	kinds = []LossChoice{{"", fmt.Sprintf("every kind (%d)", sum(list.Kinds))}}
	for _, c := range list.Kinds {
		kinds = append(kinds, LossChoice{c.Name, fmt.Sprintf("%s (%d)", LossKindLabel(c.Name), c.Losses)})
	}
	return parts, kinds
}

// VoicesThere says how many voices there are for a part, or in all where it is empty.
func VoicesThere(part string, n int) string {
	if part == "" {
		return unit.Count(n, "voice") + " in service"
	}
	return part + " may use " + unit.Count(n, "voice")
}

// HoldsAtMost says so of a part.
func HoldsAtMost(part string, n int) string {
	return part + " may hold " + unit.Count(n, "voice") + " at most"
}
