package contract

import (
	"choirloft/profiles/unit"
	"fmt"
	"strconv"
	"strings"
)

// SpareLines name the jacks that are free.
func (m *Map) SpareLines() []string {
	if len(m.Spare.Jacks) == 0 {
		return []string{"Spare: no jack."}
	}
	var lines []string
	for _, s := range m.Spare.Jacks {
		kind := map[string]string{"cv": "CV", "gate": "gate", "output": "output"}[s.Kind]
		lines = append(lines, fmt.Sprintf("Spare on %s: %s, %s.", s.Interface, unit.Count(len(s.Jacks), kind), runs(s.Jacks)))
	}
	return lines
}

// runs writes ascending numbers with dashes: 1-4, 7, 9-12.
func runs(numbers []int) string { return strings.Join(unit.Runs(numbers), ", ") }

// Head says what a unison is.
func (u *Unison) Head() string {
	text := fmt.Sprintf("Unison of %s: %d voices on a note, law %s, %s from the lowest to the highest; mean %s cents",
		u.Part, u.Of, u.Law, Cents(u.SpreadCents), unit.Signed(u.MeanCents))
	if u.Recentred {
		text += ", taken out"
	}
	text += "; detune by " + u.DetuneBy + ", constant in " + u.Scaling + "; when short: " + u.WhenShort + "."
	return strings.ReplaceAll(text, "constant in between", "between constant cents and hertz")
}

// mostAcross is how many positions stand side by side in a table: what fits in
// 100 characters with their beats. More stand one below the other.
const mostAcross = 6

// PositionTable has a column a position: its detune and its place in the stereo
// field. A large unison has a row a position, with the beat against the next
// one at each key.
func (u *Unison) PositionTable() Table {
	if u.Of > mostAcross {
		return u.tallTable()
	}
	t := Table{Columns: []TableColumn{{"Position", 12, false}}}
	cents, pans := []string{"cents"}, []string{"pan"}
	for i := range u.DetuneCents {
		t.Columns = append(t.Columns, TableColumn{strconv.Itoa(i + 1), 6, true})
		cents, pans = append(cents, unit.Signed(u.DetuneCents[i])), append(pans, Pan(u.Pans[i]))
	}
	t.add("", cents...)
	t.add("", pans...)
	return t
}

func (u *Unison) tallTable() Table {
	t := Table{Columns: []TableColumn{{"Position", 12, true}, {"Cents", 6, true}, {"Pan", 6, true}}}
	for i := range u.Keys {
		t.Columns = append(t.Columns, TableColumn{"Hz to next, " + u.Keys[i].KeyName, 16, true})
	}
	for i := range u.DetuneCents {
		row := []string{strconv.Itoa(i + 1), unit.Signed(u.DetuneCents[i]), Pan(u.Pans[i])}
		for k := range u.Keys {
			row = append(row, u.Keys[k].toNext(i+1))
		}
		t.add("", row...)
	}
	return t
}

// toNext is the beat of a position against the next one above in pitch.
func (k *KeyBeats) toNext(position int) string {
	for _, b := range k.neighbours {
		if b.Low == position {
			return strings.TrimSuffix(Hertz(b.BeatHz), " Hz")
		}
	}
	return unit.None
}

// pairs are those that have a column: all of them up to four voices, else
// neighbours, and none where positions have rows.
func (u *Unison) pairs(k *KeyBeats) []Beat {
	switch {
	case u.Of <= 4:
		return k.Beats
	case u.Of <= mostAcross:
		return k.neighbours
	}
	return nil
}

// BeatTable has a row a key: how fast each two positions beat.
func (u *Unison) BeatTable() Table {
	t := Table{Columns: []TableColumn{{"Beats, in Hz", 12, false}}}
	for _, p := range u.pairs(&u.Keys[0]) {
		t.Columns = append(t.Columns, TableColumn{fmt.Sprintf("%d-%d", p.Low, p.High), 6, true})
	}
	t.Columns = append(t.Columns, TableColumn{"Slowest", 15, true}, TableColumn{"Fastest", 14, true})
	for i := range u.Keys {
		k := &u.Keys[i]
		row := []string{fmt.Sprintf("%s (%d)", k.KeyName, k.Key)}
		for _, p := range u.pairs(k) {
			row = append(row, strings.TrimSuffix(Hertz(p.BeatHz), " Hz"))
		}
		t.add("", append(row, k.slowest(), k.fastest())...)
	}
	return t
}

func (k *KeyBeats) slowest() string {
	if k.Slowest == nil || k.Slowest.PeriodS == nil {
		return unit.None
	}
	return fmt.Sprintf("%d-%d %s", k.Slowest.Low, k.Slowest.High, period(*k.Slowest.PeriodS))
}

func (k *KeyBeats) fastest() string {
	if k.Fastest == nil {
		return unit.None
	}
	return fmt.Sprintf("%d-%d %s", k.Fastest.Low, k.Fastest.High, Hertz(k.Fastest.BeatHz))
}

// period prints the time from swell to swell: to 0.1 s from 10 s on.
func period(s float64) string {
	if s >= 9.995 {
		return unit.Tenths(s) + " s"
	}
	return unit.Span(s)
}

// Rest says what there is to say of a unison beside its tables.
func (u *Unison) Rest() []string {
	var lines []string
	if len(u.Stacks) > 0 {
		words := make([]string, len(u.Stacks))
		for i, s := range u.Stacks {
			words[i] = fmt.Sprintf("%d: %s", i+1, strings.Join(s, " "))
		}
		line := "Stacks " + strings.Join(words, "; ")
		if len(u.Idle) > 0 {
			line += "; idle: " + strings.Join(u.Idle, " ")
		}
		lines = append(lines, line+".")
	}
	if u.Throb != nil {
		lines = append(lines, fmt.Sprintf("Evenly spaced: at %s all voices throb as one, every %s.", u.Keys[1].KeyName, period(u.Throb.PeriodS)))
	}
	return lines
}

// Cautions are what must be said beside a list of jacks.
func (m *Map) Cautions() []string {
	return []string{
		"Mute before plugging. Outputs are never joined: one output may feed several inputs, not the other way round.",
		"A control voltage must never reach monitors or speakers: mark DC-coupled outputs. What is printed on a panel " +
			"or a board goes before this map; for mains, local codes and a licensed electrician do.",
	}
}
