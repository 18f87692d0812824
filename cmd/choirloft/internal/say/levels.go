package say

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
	"choirloft/routing/levels"
)

// levelTable has a row for each stage; banks side by side with as many voices
// share one.
func levelTable(l *contract.Levels) doc.Table {
	t := doc.Table{Columns: []doc.Column{words("stage"), number("voices").Ranked(1), number("gain"), number("peaks meet"),
		number("headroom"), number("passed now and then").Ranked(2), number("headroom now and then").Ranked(2), number("clipped"), number("never clips")}}
	title := "Levels with all voices in service"
	if l.Counted {
		title = "Levels with the voices that sound at once"
	}
	t.Row(title, stageRow(&l.Voice, "voice")...)
	for i := 0; i < len(l.Banks); {
		j := i
		for j+1 < len(l.Banks) && l.Banks[j+1].Voices == l.Banks[i].Voices && l.Banks[j+1].CoherentVolts == l.Banks[i].CoherentVolts && l.Banks[j+1].InStep == l.Banks[i].InStep && l.Banks[j+1].Shape == l.Banks[i].Shape {
			j++
		}
		name := "bank " + l.Banks[i].Stage
		if j > i {
			name = "banks " + l.Banks[i].Stage + "-" + l.Banks[j].Stage
		}
		t.Row(title, stageRow(&l.Banks[i], name)...)
		i = j + 1
	}
	t.Row(title, stageRow(&l.Main, "main")...)
	return t
}

func stageRow(s *contract.Stage, name string) []string {
	volts := func(v float64) string { return unit.Tenths(v) + " V" }
	return []string{name, strconv.Itoa(s.Voices), unit.Level(&s.GainDB), volts(s.CoherentVolts), unit.Level(s.HeadroomDB), volts(s.PeakVolts),
		unit.Level(s.PeakDB), clipped(s.ClipShare), unit.Level(s.NeverClipsDB)}
}

// clipped prints a share of the time; what is below a millionth is told apart
// from nothing.
func clipped(share float64) string {
	switch {
	case share == 0:
		return unit.None
	case share < 1e-6:
		return "<1 ppm"
	case share < 0.001:
		return strconv.FormatFloat(share*1e6, 'f', 0, 64) + " ppm"
	}
	return unit.Tenths(share*100) + " %"
}

// levelRest says what levels rest on, and how far that moves them.
func levelRest(l *contract.Levels) string {
	var groups []string
	for _, source := range []contract.Source{contract.FromRig, contract.Assumed} {
		var names []string
		for _, x := range l.RestsOn {
			switch {
			case x.Source != source:
			case x.Value == nil:
				names = append(names, x.Key+" "+l.Shape)
			default:
				names = append(names, x.Key+" "+unit.Tenths(*x.Value)+" "+x.Unit)
			}
		}
		if len(names) > 0 {
			groups = append(groups, unit.List(names)+" ("+sourceText(source)+")")
		}
	}
	return "Rests on: " + strings.Join(groups, "; ") + ". Each dB more of voice, submix or main is a dB less headroom."
}

// levelTrims say which voices to turn at the mixer, the loudest first; none where nobody
// measured.
func levelTrims(trims []contract.LevelTrim) []string {
	if len(trims) == 0 {
		return nil
	}
	trims = slices.Clone(trims)
	slices.SortStableFunc(trims, func(a, b contract.LevelTrim) int { return cmp.Compare(a.DB, b.DB) })
	turns := make([]string, len(trims))
	for i, t := range trims {
		turns[i] = fmt.Sprintf("%s by %s dB", t.Voice, unit.Signed(t.DB))
	}
	return []string{"Trim at the mixer, as measured: " + unit.First(turns, 12) + "."}
}

// levelCautions are what must be said beside levels.
func levelCautions(l *contract.Levels) []string {
	n := float64(max(1, l.Main.Voices))
	return append(levelTrims(l.Trims), fmt.Sprintf("Hearing: %s that enter together are %s to %s dB louder than one. Monitors on last and off first; master down "+
		"before a line check.", unit.Count(l.Main.Voices, "voice"), unit.Tenths(float64(levels.Decibels(n))/2), unit.Tenths(float64(levels.Decibels(n)))))
}
