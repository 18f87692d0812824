package contract

import (
	"choirloft/profiles/unit"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// RepatchStep is a step of a change: what to do, and what with, a line a panel.
type RepatchStep struct {
	Do    string
	Lines []string
}

// Steps are the steps in an order that is safe: nothing sounds, outputs are let
// go before inputs are taken, and what must rest does before anything sounds.
func (r *Repatch) Steps() []RepatchStep {
	if r.Moves == 0 && len(r.Rests) == 0 {
		return nil
	}
	steps := []RepatchStep{{Do: "Mute: master down, monitors off. Stop what plays, and let all gates fall."}}
	if n := len(r.Pulls); n > 0 {
		steps = append(steps, RepatchStep{fmt.Sprintf("Pull %s, each at its output first:", unit.Count(n, "cable")),
			byPanel(r.Pulls, " from ", func(c *RepatchCable) (string, string, string) { return c.FromPanel, c.From, away(c.ToPanel, c.To) })})
	}
	if len(r.Switches) > 0 {
		steps = append(steps, RepatchStep{"Turn the pitch switches over:", r.switchLines()})
	}
	if n := len(r.Plugs); n > 0 {
		steps = append(steps, RepatchStep{fmt.Sprintf("Plug %s, each at its input first:", unit.Count(n, "cable")),
			byPanel(r.Plugs, " to ", func(c *RepatchCable) (string, string, string) { return c.ToPanel, c.To, away(c.FromPanel, c.From) })})
	}
	if len(r.Rests) > 0 {
		steps = append(steps, RepatchStep{"Before anything sounds, and as long as " + r.To + " is patched, hold:", r.restLines()})
	}
	return append(steps, RepatchStep{Do: "Play one quiet note a part. Then master up slowly, monitors last."})
}

// away names a jack on another panel. Those of banks carry their names.
func away(panel, jack string) string {
	if strings.HasPrefix(panel, "bank ") {
		return jack
	}
	return panel + " " + jack
}

// byPanel has a line for each panel: its jacks, a word, and the jacks at the
// other end. Where both count up together there is one entry for all.
func byPanel(cables []RepatchCable, word string, ends func(*RepatchCable) (panel, near, far string)) (lines []string) {
	for i := 0; i < len(cables); {
		panel, near, far := ends(&cables[i])
		j, first, last := i+1, [2]counted{countedName(near), countedName(far)}, [2]counted{countedName(near), countedName(far)}
		for ; j < len(cables); j++ {
			next, near, far := ends(&cables[j])
			then := [2]counted{countedName(near), countedName(far)}
			if next != panel || !last[0].before(then[0]) || !last[1].before(then[1]) {
				break
			}
			last = then
		}
		text := first[0].to(last[0]) + word + first[1].to(last[1])
		if n := len(lines); n > 0 && strings.HasPrefix(lines[n-1], panel+": ") {
			lines[n-1] += ", " + text
		} else {
			lines = append(lines, panel+": "+text)
		}
		i = j
	}
	return lines
}

// counted is a name with a number at its end, or before its point, as in gate 3
// and A3.gate.
type counted struct {
	head   string
	number int // −1 without
	tail   string
}

func countedName(name string) counted {
	of, input, point := strings.Cut(name, ".")
	c := counted{head: strings.TrimRight(of, "0123456789"), number: -1}
	if n, err := strconv.Atoi(of[len(c.head):]); err == nil {
		c.number = n
	} else {
		c.head = of
	}
	if point {
		c.tail = "." + input
	}
	return c
}

// before tells whether a name is followed by another in counting up.
func (c counted) before(d counted) bool {
	return c.number >= 0 && c.head == d.head && c.tail == d.tail && c.number+1 == d.number
}

// to names all from one to another: gate 1-4, A1-A4.gate.
func (c counted) to(last counted) string {
	if c == last {
		if c.number < 0 {
			return c.head + c.tail
		}
		return c.head + strconv.Itoa(c.number) + c.tail
	}
	text := c.head + strconv.Itoa(c.number) + "-"
	if !strings.HasSuffix(c.head, " ") {
		text += c.head
	}
	return text + strconv.Itoa(last.number) + c.tail
}

func (r *Repatch) switchLines() (lines []string) {
	for _, to := range []string{"common", "own"} {
		var banks []string
		for _, s := range r.Switches {
			if s.To == to {
				banks = append(banks, s.Bank)
			}
		}
		if len(banks) > 0 {
			lines = append(lines, map[string]string{"common": "to the common jack: ", "own": "to the voices' own jacks: "}[to]+unit.List(banks))
		}
	}
	return lines
}

// restLines have one for the CVs and one for the gates of each interface.
func (r *Repatch) restLines() (lines []string) {
	for i := 0; i < len(r.Rests); {
		first, j := &r.Rests[i], i
		var numbers []int
		var inputs []string
		for ; j < len(r.Rests) && r.Rests[j].Panel == first.Panel && r.Rests[j].Gate == first.Gate; j++ {
			_, digits, _ := strings.Cut(r.Rests[j].Jack, " ")
			n, _ := strconv.Atoi(digits)
			numbers, inputs = append(numbers, n), append(inputs, r.Rests[j].Inputs...)
		}
		kind, _, _ := strings.Cut(first.Jack, " ")
		slices.Sort(numbers)
		line := fmt.Sprintf("%s %s %s low: a gate-OR lets through whatever is high at %s", first.Panel, kind, runs(numbers), unit.Several(inputs))
		if !first.Gate {
			line = fmt.Sprintf("%s %s %s at 0 V%s, not at what was last played: they lead to %s and add to the common jack", first.Panel, kind,
				runs(numbers), r.byKey(first), unit.Several(inputs))
		}
		lines, i = append(lines, line), j
	}
	return lines
}

// byKey says which key gives 0 V.
func (r *Repatch) byKey(x *Rest) string {
	if x.Key == nil {
		return ""
	}
	return fmt.Sprintf(" (key %s (%d), no bend)", keyName(*x.Key, r.middleC), *x.Key)
}

// Effects say what the change does beside.
func (r *Repatch) Effects() (lines []string) {
	if len(r.Breaks) > 0 {
		lines = append(lines, "A plug in the own pitch jack of "+unit.Several(r.Breaks)+" breaks the normal from the common one: they follow their own then.")
	}
	if len(r.Closes) > 0 {
		lines = append(lines, unit.Several(r.Closes)+" follow the common pitch jack again, as no plug breaks the normal.")
	}
	if len(r.Silent) > 0 {
		lines = append(lines, "Nothing plays "+unit.Several(r.Silent)+" in "+r.To+".")
	}
	var needs []string
	if n := r.Needs.Multiples; n > 0 {
		needs = append(needs, unit.Count(n, "multiple"))
	}
	if n := r.Needs.GateOrs; n > 0 {
		needs = append(needs, unit.Count(n, "gate-OR")+" with a common input")
	}
	if len(needs) > 0 {
		lines = append(lines, "The two set-ups need "+unit.List(needs)+".")
	}
	return lines
}

// WayTable compares the ways of wiring the sequencer.
func (r *Repatch) WayTable() Table {
	t := Table{Columns: []TableColumn{{"Pitches by", 12, false}, {"Gates by", 10, false}, {"Through", 10, false}, {"Moves", 5, true}, {"Pull", 4, true},
		{"Plug", 4, true}, {"Switch", 6, true}, {"Multiples", 9, true}, {"ORs", 3, true}, {"Hold", 4, true}, {"Load, cents", 11, true}}}
	words := map[string]string{"group": "common jack", "multiples": "multiples", "or": "gate-OR"}
	for _, w := range r.Ways {
		pitches, bend := words[w.Pitches], unit.None
		if w.Written {
			pitches += "*"
		}
		if w.BendCents != 0 {
			bend = unit.Tenths(w.BendCents)
		}
		t.add("Ways to wire the sequencer, one way; * as the rig has it", pitches, words[w.Gates], w.Through, strconv.Itoa(w.Moves), unit.Cell(w.Pulls), unit.Cell(w.Plugs),
			unit.Cell(w.Switches), unit.Cell(w.Needs.Multiples), unit.Cell(w.Needs.GateOrs), unit.Cell(w.Rests), bend)
	}
	return t
}

// Cautions are what must be said where cables are moved.
func (r *Repatch) Cautions() []string {
	all := []string{"Mute before plugging, and pull or plug nothing while a gate is high. Outputs are never joined. A control voltage must never reach " +
		"monitors or speakers: mark DC-coupled outputs, and trust the panel over this sheet."}
	if r.Needs.GateOrs > 0 {
		all = append(all, "A gate-OR of diodes takes about 0.7 V off a gate: see that what is left opens the voices (check, gate-margin).")
	}
	return all
}

// Records lists the change as a table, a row a move or a jack to hold, with a
// head: first the rig and its fingerprint.
func (r *Repatch) Records() [][]string {
	all := [][]string{{"step", "do", "from_panel", "from", "to_panel", "to", "fingerprint"}, {"", "rig", r.Rig, r.From, "", r.To, r.Fingerprint}}
	step := 0
	add := func(do string, cells ...string) {
		step++
		all = append(all, append(append([]string{strconv.Itoa(step), do}, cells...), ""))
	}
	for _, c := range r.Pulls {
		add("pull", c.FromPanel, c.From, c.ToPanel, c.To)
	}
	for _, s := range r.Switches {
		add("switch", "bank "+s.Bank, s.To, "", "")
	}
	for _, c := range r.Plugs {
		add("plug", c.FromPanel, c.From, c.ToPanel, c.To)
	}
	for _, x := range r.Rests {
		do := "hold 0 V"
		if x.Gate {
			do = "hold low"
		}
		add(do, x.Panel, x.Jack, "", strings.Join(x.Inputs, " "))
	}
	return all
}
