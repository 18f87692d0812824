package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Repatch says how to get from one set-up to another: on a screen with the cables that
// count up in one line, else with a box for each.
func Repatch(c *contract.Repatch, room Room) *doc.Doc {
	d := newDoc(c.Rig+": "+c.From+" to "+c.To, c.Fingerprint)
	d.Add(newRepatch(c, room != Screen).blocks()...)
	return d
}

// repatch puts a change of set-ups into words.
type repatch struct {
	*contract.Repatch
	each bool // cable in a line of its own
}

// newRepatch has a change of set-ups, whose multiples are named by the jacks that feed them.
func newRepatch(c *contract.Repatch, each bool) repatch {
	named, r := *c, repatch{c, each}
	named.Pulls, named.Plugs = slices.Clone(c.Pulls), slices.Clone(c.Plugs)
	for _, list := range [][]contract.RepatchCable{named.Pulls, named.Plugs} {
		for i := range list {
			x := &list[i]
			x.FromPanel, x.From = r.endOf(x.FromPanel, x.From, x.Cable)
			x.ToPanel, x.To = r.endOf(x.ToPanel, x.To, x.Cable)
		}
	}
	return repatch{&named, each}
}

// endOf names an end of a cable by its panel and its jack; on lines of a cable each a multiple is enough.
func (r repatch) endOf(panel, jack, cable string) (string, string) {
	named := endWord(panel, cable)
	if named != panel && r.each {
		jack = ""
	}
	return named, jack
}

// endWord names an end of a cable, a multiple by the jack that feeds it: multiple of seq:gt1, whose
// cables have the name of that jack.
func endWord(end, cable string) string {
	if !strings.HasPrefix(end, "multiple ") {
		return end
	}
	jack, _, _ := strings.Cut(cable, "/")
	if _, unit, ok := strings.Cut(end, ", "); ok { // one that is linked
		jack += ", " + unit
	}
	return "multiple of " + jack
}

// EndsOf names both ends of a cable on the schedule: multiple of cv21, K.cutoff.
func EndsOf(x *contract.Cable) (from, to string) {
	return endWord(x.From, x.Number), endWord(x.To, x.Number)
}

func (r repatch) blocks() doc.Blocks {
	var b doc.Blocks
	b.Add(doc.Answer{Text: r.summary() + ".", Tone: findingTone(r.Findings, doc.Good)})
	b.Under("Cautions", doc.Sentences(r.cautions()...))
	b.Under("Steps", doc.List{Items: r.steps(), Numbered: true, Boxes: true})
	b.Under("What it changes", doc.Sentences(r.effects()...))
	b.Under("Ways to wire the sequencer", r.ways())
	b.Under("Findings", findings(r.Findings))
	return b
}

// summary is the answer in a sentence.
func (r repatch) summary() string {
	head := r.Rig + ": " + r.From + " to " + r.To + ": "
	if r.Moves == 0 {
		text := head + "nothing to move, " + unit.Count(r.Stay, "cable")
		if len(r.GateOrs) > 0 {
			text += ", two for each gate through a gate-OR"
		}
		return text
	}
	text := fmt.Sprintf("%s%s: %d to pull, %d to plug", head, unit.Count(r.Moves, "move"), len(r.Pulls), len(r.Plugs))
	switch n := len(r.Switches); {
	case n == 1:
		text += ", 1 switch to flip"
	case n > 1:
		text += ", " + strconv.Itoa(n) + " switches to flip"
	}
	return text + "; " + unit.Count(r.Stay, "cable") + " stay" + r.fewer()
}

// fewer names the wiring with the fewest moves, where it is another one.
func (r repatch) fewer() string {
	best := -1
	for i := range r.Ways {
		if r.Ways[i].Moves < r.Moves && (best < 0 || r.Ways[i].Moves < r.Ways[best].Moves) {
			best = i
		}
	}
	if best < 0 {
		return ""
	}
	w := &r.Ways[best]
	return fmt.Sprintf(". %s by %s and %s, see Ways to wire the sequencer", unit.Count(w.Moves, "move"), wayWords[w.Pitches], wayWords[w.Gates])
}

// wayWords are how pitches and gates get to several voices.
var wayWords = map[string]string{"group": "common pitch jack", "multiples": "multiples", "or": "gate-OR"}

// muteFirst and quietLast are what is done before cables are moved, and after it.
const (
	muteFirst = "Mute: master down, monitors off. Stop the song, and let all gates go low."
	quietLast = "Play one quiet note on each part. Then master up slowly, monitors last."
)

// steps are the steps in an order that is safe: nothing sounds, outputs are let
// go before inputs are taken, and what must rest does before anything sounds.
func (r repatch) steps() []doc.Item {
	if r.Moves == 0 && len(r.Rests) == 0 {
		return nil
	}
	steps := append(r.needs(), doc.Item{Text: muteFirst})
	if n := len(r.Pulls); n > 0 {
		steps = append(steps, doc.Item{Text: fmt.Sprintf("Pull %s, each at its output first:", unit.Count(n, "cable")),
			Below: r.lines(r.Pulls, " to ", func(c *contract.RepatchCable) (string, string, string) {
				return c.FromPanel, c.From, away(c.ToPanel, c.To)
			}), About: r.about("pull", r.Pulls)})
	}
	if len(r.Switches) > 0 {
		steps = append(steps, doc.Item{Text: "Flip the pitch switches:", Below: r.switchLines()})
	}
	if n := len(r.Plugs); n > 0 {
		steps = append(steps, doc.Item{Text: fmt.Sprintf("Plug %s, each at its input first:", unit.Count(n, "cable")),
			Below: r.lines(r.Plugs, " from ", func(c *contract.RepatchCable) (string, string, string) {
				return c.ToPanel, c.To, away(c.FromPanel, c.From)
			}), About: r.about("plug", r.Plugs)})
	}
	if len(r.Rests) > 0 {
		steps = append(steps, doc.Item{Text: "Before anything sounds, and as long as " + r.To + " is patched, hold:", Below: r.restLines()})
	}
	return append(steps, doc.Item{Text: quietLast})
}

// needs are the steps before the first cable is moved: what to have at hand, and what
// stays in line from one change to the next.
func (r repatch) needs() (steps []doc.Item) {
	var needs []string
	if len(r.Fetched) > 0 {
		needs = append(needs, multiples(r.Fetched))
	}
	if n := r.Needs.GateOrs; n > 0 {
		needs = append(needs, unit.Count(n, "gate-OR")+" with a common input")
	}
	if len(needs) > 0 {
		steps = append(steps, doc.Item{Text: "Have at hand " + unit.List(needs) + "."})
	}
	if len(r.GateOrs) > 0 {
		steps = append(steps, doc.Item{Text: "If you have not yet: put " + unit.Count(len(r.GateOrs), "gate-OR") + " between the gate jacks and " +
			unit.List(banksOf(r.GateOrs)) + ", two cables a voice. They stay in all set-ups, and do not count as moves here."})
	}
	return steps
}

// multiples counts multiples by their outs: 3 multiples, 2 of 8 outs and 1 of 4.
func multiples(outs []int) string {
	var sizes []string
	for i := 0; i < len(outs); {
		j := i
		for j < len(outs) && outs[j] == outs[i] {
			j++
		}
		sizes, i = append(sizes, fmt.Sprintf("%d of %d", j-i, outs[i])), j
	}
	text := unit.Count(len(outs), "multiple")
	if len(sizes) == 1 {
		return text + " of " + strconv.Itoa(outs[0]) + " outs"
	}
	sizes[0] += " outs"
	return text + " (" + unit.List(sizes) + ")"
}

func banksOf(names []string) []string {
	all := slices.Clone(names)
	all[0] = "bank " + all[0]
	if len(all) > 1 {
		all[0] = "banks " + names[0]
	}
	return all
}

// away names a jack on another panel. Those of banks carry their names.
func away(panel, jack string) string {
	if strings.HasPrefix(panel, "bank ") {
		return jack
	}
	return strings.TrimSpace(panel + " " + jack)
}

// lines are what is to be done with some cables.
func (r repatch) lines(cables []contract.RepatchCable, word string, ends func(*contract.RepatchCable) (panel, near, far string)) (lines []string) {
	if !r.each {
		return byPanel(cables, word, ends)
	}
	for i := range cables {
		panel, near, far := ends(&cables[i])
		lines = append(lines, away(panel, near)+word+far+" ("+cables[i].Cable+")")
	}
	return lines
}

// about says what lines of a cable each are about: pull cv1.
func (r repatch) about(what string, cables []contract.RepatchCable) (all []string) {
	for i := range cables {
		if r.each {
			all = append(all, what+" "+cables[i].Cable)
		}
	}
	return all
}

// byPanel has a line for each panel: its jacks, a word, the jacks at the other end,
// and the names of the cables. Where these count up together there is one entry
// for all.
func byPanel(cables []contract.RepatchCable, word string, ends func(*contract.RepatchCable) (panel, near, far string)) (lines []string) {
	for i := 0; i < len(cables); {
		panel, near, far := ends(&cables[i])
		first := [3]counted{countedName(near), countedName(far), countedName(cables[i].Cable)}
		j, last := i+1, first
		for ; j < len(cables); j++ {
			next, near, far := ends(&cables[j])
			then := [3]counted{countedName(near), countedName(far), countedName(cables[j].Cable)}
			if next != panel || !last[0].before(then[0]) || !last[1].before(then[1]) || !last[2].before(then[2]) {
				break
			}
			last = then
		}
		text := first[0].to(last[0]) + word + first[1].to(last[1]) + " (" + first[2].to(last[2]) + ")"
		if n := len(lines); n > 0 && strings.HasPrefix(lines[n-1], panel+": ") {
			lines[n-1] += "; " + text
		} else {
			lines = append(lines, panel+": "+text)
		}
		i = j
	}
	return lines
}

// counted is a name with a number at its end, or before its point, as in gate 3
// and K3.gate.
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

// to names all from one to another: gate 1-4, K1-K4.gate, gt5/1-4.
func (c counted) to(last counted) string {
	if c == last {
		if c.number < 0 {
			return c.head + c.tail
		}
		return c.head + strconv.Itoa(c.number) + c.tail
	}
	text := c.head + strconv.Itoa(c.number) + "-"
	if !strings.HasSuffix(c.head, " ") && !strings.HasSuffix(c.head, "/") {
		text += c.head
	}
	return text + strconv.Itoa(last.number) + c.tail
}

func (r repatch) switchLines() (lines []string) {
	for _, to := range []string{"common", "own"} {
		var banks []string
		for _, s := range r.Switches {
			if s.To == to {
				banks = append(banks, s.Bank)
			}
		}
		if len(banks) > 0 {
			lines = append(lines, map[string]string{"common": "to the common pitch jack: ", "own": "to the voices' own jacks: "}[to]+unit.List(banks))
		}
	}
	return lines
}

// restLines have one for the CVs and one for the gates of each interface.
func (r repatch) restLines() (lines []string) {
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
		line := fmt.Sprintf("%s %s %s low: a gate-OR lets through whatever is high at %s", first.Panel, kind, strings.Join(unit.Runs(numbers), ", "), unit.Several(inputs))
		if !first.Gate {
			line = fmt.Sprintf("%s %s %s at 0 V%s, not at what was last played. They add to the common pitch jack at %s", first.Panel, kind,
				strings.Join(unit.Runs(numbers), ", "), r.byKey(first), unit.Several(inputs))
		}
		lines, i = append(lines, line), j
	}
	return lines
}

// byKey says which key gives 0 V.
func (r repatch) byKey(x *contract.Rest) string {
	if x.Key == nil {
		return ""
	}
	return fmt.Sprintf(" (key %s (%d), no bend)", contract.KeyName(*x.Key, r.MiddleC), *x.Key)
}

// effects say what the change does beside.
func (r repatch) effects() (lines []string) {
	if len(r.Breaks) > 0 {
		lines = append(lines, "A plug in the pitch jack of a voice cuts it off from the common pitch jack. That goes for "+unit.Several(r.Breaks)+".")
	}
	if len(r.Closes) > 0 {
		lines = append(lines, unit.Several(r.Closes)+" follow the common pitch jack again, as no plug breaks the normal.")
	}
	if len(r.Silent) > 0 {
		lines = append(lines, "Nothing plays "+unit.Several(r.Silent)+" in "+r.To+".")
	}
	return lines
}

// ways compares the ways of wiring the sequencer.
func (r repatch) ways() doc.Table {
	t := doc.Table{Columns: []doc.Column{words("pitches by"), words("gates by"), words("through"), number("moves"),
		number("pull").Ranked(1), number("plug").Ranked(1), number("switch").Ranked(2), number("multiples"),
		number("gate-ORs"), number("hold"), number("load in cents").Ranked(3)}}
	for _, w := range r.Ways {
		pitches, bend := wayWords[w.Pitches], unit.None
		if w.Written {
			pitches += "*"
		}
		if w.BendCents != 0 {
			bend = unit.Tenths(w.BendCents)
		}
		t.Row("Wirings, * as the rig has it", pitches, wayWords[w.Gates], w.Through, strconv.Itoa(w.Moves), unit.Cell(w.Pulls), unit.Cell(w.Plugs),
			unit.Cell(w.Switches), unit.Cell(w.Needs.Multiples), unit.Cell(w.Needs.GateOrs), unit.Cell(w.Rests), bend)
	}
	return t
}

// cautions are what must be said where cables are moved.
func (r repatch) cautions() []string {
	all := []string{"Mute before plugging, and pull or plug nothing while a gate is high. Never join outputs. A control voltage must never reach " +
		"monitors or speakers: mark DC-coupled outputs, and trust the panel over this sheet."}
	if r.Needs.GateOrs > 0 {
		all = append(all, "A gate-OR of diodes takes about 0.7 V off a gate: see that what is left opens the voices (check, gate-margin).")
	}
	return all
}
