package plan

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/cables"
	"choirloft/routing/growth"
	"choirloft/routing/purchase"
)

// A bank like P takes 5 CVs of 4 that are free, 88 HP of 16 in its row, 380 mA: so an
// interface of 30 HP, of 24 in row 6, and two rows. Supply two bears 380 + 320 mA beside
// its 1340 (75 % of 3 A are 2250).
func TestABankForTheDemo(t *testing.T) {
	file, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	p, err := Draft(file, MustParse("--buy", "1xP"))
	require.NoError(t, err)
	require.Equal(t, 1, p.Bought.Interfaces)
	require.Equal(t, 2, p.Bought.Rows)
	require.Zero(t, p.Bought.Supplies)
	require.Equal(t, "CV jacks (4 free, 5 needed)", p.Bought.Needs()[0].String())
	require.Empty(t, p.WithoutJack())
	data, err := os.ReadFile("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	kept, err := Write(&profiles.File{Path: "../../testdata/kiln-yard.yaml", Data: data, Rig: file}, MustParse("--buy", "1xP"))
	require.NoError(t, err)
	was := strings.Split(string(data), "\n")
	var added []string
	for _, line := range strings.Split(string(kept.Data), "\n") {
		if len(was) > 0 && line == was[0] {
			was = was[1:]
			continue
		}
		added = append(added, line)
		if strings.HasPrefix(line, "  two:") || strings.HasPrefix(line, "  bite:") || strings.HasPrefix(line, "  hush:") {
			was = was[1:]
		}
	}
	require.Empty(t, was, "every other line is as it was")
	require.Equal(t, []string{
		"  main2: {profile: cv32-gate32, connector: 8, window: 0 V to 5 V, zero_key: 36, bits: 16, output_resistance: 100 ohm, hp: 30, ma: {+12: 320, -12: 60}, row: 8}  # bought: volts assumed until measured",
		"  Q: {voices: 4, kind: kiln, lanes: [cutoff], row: 7, hp: 88, ma: {+12: 380, -12: 345}}  # bought: tuning and release assumed until measured",
		"  bite: {from: CC 74 on 16, to: [K.resonance, L.resonance, M.resonance, N.resonance, P.resonance, Q.resonance]}",
		"  hush: {from: CC 12 on 16, to: [M.level, N.level, P.level, Q.level]}",
		"  two: {+12: 3 A, -12: 3 A, feeds: [N, P, main, effects, Q, main2]}",
	}, added)
}

// wall is a rack of two or three banks as a rig file, with what it is made of.
type wall struct {
	text                           string
	banks, size, lanes, cvs, gates int
	hp, boxHP, wide, inputs        int
	draw, boxDraw, rating          int // mA on +12; 0 where it is not said
	rows                           bool
	measured, macro                bool
}

func anyWall(t *rapid.T) (w wall) {
	n := func(low, high int, what string) int { return rapid.IntRange(low, high).Draw(t, what) }
	w = wall{banks: n(1, 3, "banks"), size: n(1, 5, "size"), lanes: n(0, 1, "lanes"), rows: rapid.Bool().Draw(t, "rows"), wide: n(40, 104, "wide"),
		measured: rapid.Bool().Draw(t, "measured"), macro: rapid.Bool().Draw(t, "macro")}
	// jacks for what there is, and a few
	w.gates = w.banks*w.size + n(0, 6, "gates over")
	w.cvs = w.banks*(w.size+w.lanes) + n(0, 6, "cvs over")
	macro := ""
	if w.macro {
		w.cvs, macro = w.cvs+1, "macros: {bite: {from: CC 74 on 16, to: [K.resonance]}}\n"
	}
	w.hp, w.boxHP = n(0, 40, "hp"), n(0, 30, "box hp")
	if rapid.Bool().Draw(t, "mixer") {
		w.inputs = w.banks + n(0, 3, "inputs over")
	}
	if rapid.Bool().Draw(t, "supply") {
		w.draw, w.boxDraw = n(1, 400, "draw"), n(0, 400, "box draw")
		w.rating = (w.banks*w.draw+w.boxDraw)*4/3 + 1 + n(0, 600, "rating over")
	}
	field := func(name string, v int) string {
		if v == 0 {
			return ""
		}
		return fmt.Sprintf(", %s: %d", name, v)
	}
	row := func(i int) int {
		if w.rows {
			return i
		}
		return 0
	}
	amps := func(v int) string {
		if v == 0 {
			return ""
		}
		return fmt.Sprintf(", ma: {+12: %d}", v)
	}
	w.text = fmt.Sprintf("# drawn\nrig: Drawn\nrack: {hp: %d}\ninterfaces:\n  main: {cv: %d, gates: %d, window: 0 V to 10 V%s%s%s}\nvoices:\n  plain: {release: 1 s", w.wide, w.cvs, w.gates, field("row", row(9)), field("hp", w.boxHP), amps(w.boxDraw))
	if w.measured {
		w.text += ", measured: [release]"
	}
	w.text += "}\nbanks:\n"
	names := "KLM"[:w.banks]
	for i := range w.banks {
		w.text += fmt.Sprintf("  %c: {voices: %d, kind: plain%s%s%s", names[i], w.size, field("row", row(i+1)), field("hp", w.hp), amps(w.draw))
		if w.lanes > 0 {
			w.text += ", lanes: [cutoff]"
		}
		w.text += "}  # a bank\n"
	}
	w.text += macro + "parts:\n  all: {steal: oldest}\n  one: {channel: 3, banks: [K]}\n"
	if w.inputs > 0 {
		w.text += fmt.Sprintf("gear: {mixer: {inputs: %d}}\n", w.inputs)
	}
	if w.rating > 0 {
		w.text += "supplies:\n  one: {+12: " + strconv.Itoa(w.rating) + " mA, feeds: [main, " + strings.Join(strings.Split(names, ""), ", ") + "]}\n"
	}
	return w
}

// short is what is short for n banks more, by sums: up to eight interfaces and supplies, and
// any rows, can be bought besides; inputs of mixers cannot.
func (w *wall) short(n int) (all []growth.Resource) {
	voices, boxes, cvs := (w.banks+n)*w.size, 1, (w.banks+n)*(w.size+w.lanes)
	if w.macro {
		cvs++
	}
	enough := func() bool {
		pairs := min(w.cvs, w.gates)
		return boxes*pairs >= voices && boxes*w.cvs >= cvs
	}
	for !enough() && boxes <= 8 {
		boxes++
	}
	if w.inputs > 0 && w.banks+n > w.inputs {
		all = append(all, growth.MixerInputs)
	}
	fits := func(mA int) bool { return 4*mA <= 3*w.rating }
	if w.rating > 0 && (!fits(w.draw) || boxes > 1 && !fits(w.boxDraw)) {
		all = append(all, growth.Current)
	}
	if w.rows && (w.hp > w.wide || boxes > 1 && w.boxHP > w.wide) {
		all = append(all, growth.Width)
	}
	return all
}

// Over random racks: what is refused is what is short by the sums above, and is named; what
// is not passes check when it is written, bears its load, fits its rows, has its jacks, and
// leaves every old line in its place.
func TestPurchases(t *testing.T) {
	refused, bought := 0, 0
	walls := rapid.Custom(anyWall)
	for i := range corpora.Some(60, 200) {
		w := walls.Example(i)
		rig, faults := profiles.Read("drawn.yaml", []byte(w.text), nil)
		require.Empty(t, faults, w.text)
		before, err := Build(rig, Overrides{})
		require.NoError(t, err)
		n, like := i%4+1, i%len(rig.Banks)
		o := MustParse("--buy", fmt.Sprintf("%dx%s", n, rig.Banks[like].Name))
		p := before.Buying(like, n)
		var short []growth.Resource
		for _, s := range p.Refused {
			short = append(short, s.Resource)
			require.Less(t, s.Free, s.Needed, s.String())
		}
		require.Equal(t, w.short(n), short, "%d banks:\n%s", n, w.text)
		if len(short) > 0 {
			refused++
			_, err := Draft(rig, o)
			require.ErrorContains(t, err, p.Refused[0].String())
			continue
		}
		bought++
		passes(t, w.text, before, o, p)
	}
	require.Positive(t, refused)
	require.Positive(t, bought)
}

// passes writes a purchase into a rig and holds what is read again to check, and to the
// rig that was played.
func passes(t *testing.T, text string, before *Plan, o Overrides, p *purchase.Purchase) {
	file, err := Write(&profiles.File{Path: "drawn.yaml", Data: []byte(text), Rig: before.Rig}, o)
	require.NoError(t, err, text)
	after, err := Build(file.Rig, Overrides{})
	require.NoError(t, err)
	errors := func(p *Plan) (all []string) {
		for _, f := range p.Findings {
			if f.Severity == routing.Error || f.Code == routing.SupplyTight || f.Code == routing.RowTooWide || f.Code == routing.LaneDoesNotFit || f.Code == routing.NotFed {
				all = append(all, f.Text)
			}
		}
		return all
	}
	require.Subset(t, append(errors(before), ""), append(errors(after), ""), string(file.Data))
	require.Empty(t, after.WithoutJack())
	require.Equal(t, len(before.Rig.Banks)+p.Banks, len(after.Rig.Banks))
	require.Equal(t, len(before.Rig.Interfaces)+p.Interfaces, len(after.Rig.Interfaces))
	require.Equal(t, len(before.Rig.Supplies)+p.Supplies, len(after.Rig.Supplies))
	lines := func(p *Plan) (all []string) {
		for _, l := range p.Map.Lanes() {
			all = append(all, fmt.Sprint(l.Name, l.Interface, l.GateJack, l.Jack, l.Message, l.Port, l.Channel))
		}
		return all
	}
	require.Subset(t, lines(after), lines(before), "no old line moves")
	cables := len(lines(after)) - len(lines(before))
	if len(before.Rig.Macros) > 0 && p.Like == 0 { // from one input straight to a multiple of n + 1
		cables += p.Banks + 1
	}
	require.Equal(t, cables, p.Cables(), "a cable a line")
	for _, line := range strings.Split(text, "\n") {
		if i := strings.Index(line, "#"); i >= 0 {
			require.Contains(t, string(file.Data), line[i:])
		}
	}
	if len(after.Rig.Kinds[0].Measured) > 0 {
		require.Empty(t, after.Rig.Kinds[after.Rig.Banks[len(after.Rig.Banks)-1].Kind].Measured, "nobody has measured what is bought")
	}
}

// joinedRig has what a bank may share with others: a macro, a common multiple of a wire with so
// many outputs, one that is a module, an adder before it, a control of one bank alone, and set-ups.
func joinedRig(through, does string) string {
	return fmt.Sprintf(`rig: Joined   # by hand
interfaces:
  main: {profile: cv16-gate16}
sequencers: {seq: {parts: 2}}
banks:
  K: {voices: 2, lanes: [cutoff]}
  L: {voices: 2, lanes: [cutoff]}
  M: {voices: 2}
parts: {all: {}}
macros:
  bite: {from: CC 74 on 16, to: [K.cutoff, L.cutoff]}   # one knob
  glow: {from: CC 75 on 16, to: L1.level}
gear:
  sum: {does: adder}
  split: {does: %s, hp: 4}  # K and L
wiring:
  - {from: main.cv 16, through: %s, to: [L.resonance, M.resonance]}  # two of them
  - {from: main.cv 14, to: sum}
  - {from: main.cv 15, to: sum}
  - {from: sum, to: split}
  - {from: split, to: [K.cutoff, L.cutoff]}  # the last
  - {from: main.cv 13, through: passive 2, to: M.pitch}
set_ups:
  home: {from: main}
  stage:
    from: seq
    parts: {1: [K, L], 2: M}   # on stage
`, does, through)
}

// nets are the inputs that hang on each jack.
func nets(m *routing.Map) map[string]string {
	all := map[string]string{}
	for i := range m.Nets {
		var names []string
		for _, in := range m.Nets[i].Inputs() {
			names = append(names, in.Name(m.Rig))
		}
		slices.Sort(names)
		all[m.Nets[i].JackName(m.Rig)] = strings.Join(slices.Compact(names), " ")
	}
	return all
}

// What a further bank shares is joined to what there is, with a multiple more where none has an
// output left: counted by hand. It is written so, and read again it is the rig that was played.
func TestBoughtBanksAreJoined(t *testing.T) {
	for _, row := range []struct {
		through, does, buy, multiples, byHand string
		reach                                 map[string]string
	}{
		// two outputs each: both full with K and L, so of each one more for a bank; and one for
		// the knob of L1.level, which is then for N1.level too
		{"passive 2", "passive 2", "1xL", "[{passive 2 3}]", "[]", map[string]string{
			"main cv 16": "L.resonance M.resonance N.resonance", "main cv 15": "K.cutoff L.cutoff N.cutoff"}},
		{"passive 2", "buffered 2", "2xL", "[{passive 2 2} {passive 3 1} {buffered 2 2}]", "[]", nil},
		{"passive 4", "buffered 4", "2xL", "[{passive 3 1}]", "[]", map[string]string{"main cv 16": "L.resonance M.resonance N.resonance P.resonance"}},
		// 2 + 3 on four outputs: one more of each, and one for L1.level and three others
		{"passive 4", "buffered 4", "3xL", "[{passive 4 2} {buffered 4 1}]", "[]", nil},
		{"buffered 2", "buffered 4", "1xL", "[{passive 2 1} {buffered 2 2}]", "[]", nil}, // a tree of three by two has 1 + 2, and 1 is there
		// nobody says how many outputs the passive one has
		{"passive", "buffered 4", "1xL", "[{passive 2 1}]", "[]", nil},
		// the pitches of M hang on one jack; its resonance is joined
		{"passive 4", "buffered 4", "1xM", "[]", "[N.pitch]", map[string]string{"main cv 16": "L.resonance M.resonance N.resonance"}},
	} {
		text := joinedRig(row.through, row.does)
		rig, faults := profiles.Read("joined.yaml", []byte(text), nil)
		require.Empty(t, faults)
		before, err := Build(rig, Overrides{})
		require.NoError(t, err)
		o := MustParse("--buy", row.buy)
		drawn, err := Draft(rig, o)
		require.NoError(t, err, "%+v", row)
		require.Equal(t, row.multiples, fmt.Sprint(drawn.Bought.Multiples), "%+v", row)
		require.Equal(t, row.byHand, fmt.Sprint(slices.Concat(drawn.Bought.ByHand...)), "%+v", row)
		require.Equal(t, row.through == "passive", slices.Contains(drawn.Bought.Unknown(), growth.Multiples))
		for jack, inputs := range row.reach {
			require.Equal(t, inputs, nets(drawn.Map)[jack], "%+v", row)
		}
		file, err := Write(&profiles.File{Path: "joined.yaml", Data: []byte(text), Rig: rig}, o)
		require.NoError(t, err, "%+v", row)
		after, err := Build(file.Rig, Overrides{})
		require.NoError(t, err)
		require.Equal(t, nets(drawn.Map), nets(after.Map), "%s", file.Data)
		further, unsaid := cables.FurtherMultiples(before.Map, after.Map)
		require.Equal(t, drawn.Bought.Multiples, further)
		require.Equal(t, row.through == "passive", unsaid)
		for _, f := range after.Findings {
			was := slices.ContainsFunc(before.Findings, func(g routing.Finding) bool { return g.Text == f.Text })
			require.True(t, was || f.Severity != routing.Error, "%s\n%s", f.Text, file.Data)
		}
		part := map[byte]int{'L': 0, 'M': 1}[row.buy[2]]
		require.Len(t, after.Rig.SetUps[1].Parts[part].Banks, 2-part+drawn.Bought.Banks)
		require.Len(t, after.Rig.SetUps[0].Also, drawn.Bought.Interfaces)
		for line := range strings.Lines(text) {
			if i := strings.Index(line, "#"); i >= 0 {
				require.Contains(t, string(file.Data), line[i:])
			}
		}
	}
}

// notes are the comments that a file has and another text has not, by what stands before them.
func notes(text string, after []byte) map[string]string {
	all := map[string]string{}
	for line := range strings.Lines(string(after)) {
		entry, note, ok := strings.Cut(line, "#")
		if ok && !strings.Contains(text, note) {
			name, _, _ := strings.Cut(strings.TrimSpace(entry), ":")
			all[name] = strings.TrimSpace(note)
		}
	}
	return all
}

// What is bought has a note at its place: what of it nobody has measured, what is not known of the
// multiple of a wire, and what is left to wire. Supply one bears 750 mA at three quarters.
func TestWhatIsBoughtHasANote(t *testing.T) {
	const bank = "bought: tuning and release assumed until measured"
	or := strings.Replace(joinedRig("passive 2", "passive 4"), "    from: seq\n", "    from: seq\n    gates: or\n", 1)
	supply := "rig: Fed\ninterfaces:\n  main: {profile: cv16-gate16}\nbanks:\n  K: {voices: 2, ma: {+12: 600}}\nparts: {all: {}}\nsupplies:\n  one: {+12: 1 A, feeds: [K]}\n"
	for _, row := range []struct {
		what, text, buy string
		notes           map[string]string
	}{
		{"a multiple of a wire, and a module that says its width", joinedRig("passive 2", "passive 2"), "1xL",
			map[string]string{"N": bank, "multiple2": "bought: width and current not known", "split2": "bought: width assumed until measured, current not known"}},
		{"a module that says both", strings.Replace(joinedRig("passive 4", "buffered 2"), "hp: 4", "hp: 4, ma: {+12: 20}", 1), "1xL",
			map[string]string{"N": bank, "split2": "bought: width and current assumed until measured"}},
		{"a module that says its current", strings.Replace(joinedRig("passive 4", "buffered 2"), "hp: 4", "ma: {+12: 20}", 1), "1xL",
			map[string]string{"N": bank, "split2": "bought: current assumed until measured, width not known"}},
		{"pitches on one jack, of two banks each its own", joinedRig("passive 4", "buffered 4"), "2xM",
			map[string]string{"N": bank + "; wire by hand, as bank M is: N.pitch", "P": bank + "; wire by hand, as bank M is: P.pitch"}},
		{"a gate-OR", or, "1xM", map[string]string{"multiple2": "bought: width and current not known", "N": bank + "; wire by hand, as bank M is: N.pitch; add a gate-OR for set-up stage"}},
		{"a supply", supply, "1xK", map[string]string{"L": bank, "one2": "bought: rating assumed until measured"}},
		{"banks in brackets: at the end", strings.Replace(supply, "\n  K: {voices: 2, ma: {+12: 600}}", " {K: {voices: 2}}", 1), "1xK",
			map[string]string{"": "banks.L: " + bank}},
	} {
		rig, faults := profiles.Read("drawn.yaml", []byte(row.text), nil)
		require.Empty(t, faults, row.what)
		file, err := Write(&profiles.File{Path: "drawn.yaml", Data: []byte(row.text), Rig: rig}, MustParse("--buy", row.buy))
		require.NoError(t, err, row.what)
		require.Equal(t, row.notes, notes(row.text, file.Data), "%s\n%s", row.what, file.Data)
	}
}

// anyJoined draws a rig whose banks share jacks by wires, modules and macros, on interfaces of one
// kind or two.
func anyJoined(t *rapid.T) string {
	n := func(low, high int, what string) int { return rapid.IntRange(low, high).Draw(t, what) }
	multiple := func(what string, more ...string) string {
		return rapid.SampledFrom(append(more, "passive 2", "passive 3", "buffered 2", "buffered 3", "passive")).Draw(t, what)
	}
	inputs := func(what string) string {
		all := []string{"K." + what, "L." + what, "M1." + what, "K2." + what, "M." + what}
		first := n(0, len(all)-2, what)
		return strings.Join(all[first:first+n(1, len(all)-first, what+" ends")], ", ")
	}
	text := fmt.Sprintf("rig: Drawn\ninterfaces:\n  main: {cv: %d, gates: %d}\n", n(14, 20, "cv"), n(8, 12, "gates"))
	if rapid.Bool().Draw(t, "two kinds") {
		text += fmt.Sprintf("  more: {cv: %d, gates: %d, zero_key: %d}\n", n(2, 9, "more cv"), n(2, 9, "more gates"), n(35, 36, "zero"))
	}
	text += "sequencers: {seq: {parts: 2}}\nbanks:\n"
	for i, name := range []string{"K", "L", "M"} {
		text += fmt.Sprintf("  %s: {voices: %d%s}\n", name, []int{2, n(1, 3, "voices"), 2}[i], []string{"", ", lanes: [cutoff]", ", lanes: [cutoff, level]"}[n(0, 2, "lanes")])
	}
	text += "parts: {all: {}, low: {channel: 3, banks: [M]}}\nmacros:\n  bite: {from: CC 74 on 16, to: [" + inputs("resonance") + "]}\n"
	text += "gear:\n  split: {does: " + multiple("module") + "}\n"
	if rapid.Bool().Draw(t, "mixer") {
		text += fmt.Sprintf("  mixer: {inputs: %d}\n", n(3, 6, "inputs"))
	}
	text += "wiring:\n  - {from: main.cv 1, to: split}\n  - {from: split, to: [" + inputs("cutoff") + "]}\n"
	if rapid.Bool().Draw(t, "second wire") {
		text += "  - {from: main.cv 2, through: " + multiple("wire", "direct") + ", to: [" + inputs("level") + "]}\n"
	}
	return text + "set_ups:\n  home: {from: main}\n  stage: {from: seq, parts: {1: [K, M], 2: L}}\n"
}

// Over random racks whose banks share jacks: what is refused has its reason; what is not is
// written as it was played, jack by jack and multiple by multiple, and passes check.
func TestPurchasesOfSharedJacks(t *testing.T) {
	bought, refused, multiples := 0, 0, 0
	racks := rapid.Custom(anyJoined)
	for i := range corpora.Some(25, 400) {
		text := racks.Example(i)
		rig, faults := profiles.Read("drawn.yaml", []byte(text), nil)
		if len(faults) > 0 {
			continue // such as an input twice
		}
		before, err := Build(rig, Overrides{})
		require.NoError(t, err)
		n, like := i%3+1, i/3%3
		o := MustParse("--buy", fmt.Sprintf("%dx%s", n, rig.Banks[like].Name))
		p := before.Buying(like, n)
		for _, s := range p.Refused {
			require.True(t, s.Why != "" || s.Free < s.Needed, "%s\n%s", s.String(), text)
		}
		if len(p.Refused) > 0 {
			refused++
			continue
		}
		bought++
		drawn, err := Draft(rig, o)
		require.NoError(t, err)
		file, err := Write(&profiles.File{Path: "drawn.yaml", Data: []byte(text), Rig: rig}, o)
		require.NoError(t, err, text)
		after, err := Build(file.Rig, Overrides{})
		require.NoError(t, err)
		require.Equal(t, nets(drawn.Map), nets(after.Map), "%s", file.Data)
		require.Equal(t, drawn.Rig.SetUps[1].Parts[0].Banks, after.Rig.SetUps[1].Parts[0].Banks)
		further, _ := cables.FurtherMultiples(before.Map, after.Map)
		require.Equal(t, p.Multiples, further, "%s", file.Data)
		multiples += len(further)
		for _, f := range after.Findings {
			was := func(g routing.Finding) bool { return g.Code == f.Code }
			require.True(t, f.Severity != routing.Error || slices.ContainsFunc(before.Findings, was), "%s\n%s", f.Text, file.Data)
		}
	}
	t.Logf("%d bought, %d refused, %d kinds of multiples", bought, refused, multiples)
	require.Positive(t, refused)
	require.Positive(t, multiples)
	require.Greater(t, bought, corpora.Some(8, 100))
}

// Bank P of this rig plays the bass from an interface whose 0 V are an octave lower, of
// whose 8 CVs it takes 4; the others play from one of 32 CVs, of which they take 16. Whatever
// is bought gets the volts for a key that its like gets, so 1 bank like P takes the 4 that
// are left, 2 a further interface of 8, 4 two of them. Where it is so anyway no pin says it.
func TestBanksGetTheVoltsOfTheirLike(t *testing.T) {
	const path = "../../testdata/rigs/own-zero-key.yaml"
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	rig, err := profiles.Load(path)
	require.NoError(t, err)
	for buy, interfaces := range map[string]int{"1xP": 0, "2xP": 1, "3xP": 1, "4xP": 2, "5xP": 2, "1xK": 0, "4xK": 0, "9xK": 1} {
		p, err := Draft(rig, MustParse("--buy", buy))
		require.NoError(t, err)
		require.Equal(t, interfaces, p.Bought.Interfaces, buy)
		kept, err := Write(&profiles.File{Path: path, Data: data, Rig: rig}, MustParse("--buy", buy))
		require.NoError(t, err)
		again, faults := profiles.Read(path, kept.Data, nil)
		require.Empty(t, faults, "%s", kept.Data)
		for _, m := range []*routing.Map{p.Map, routing.NewMap(again)} {
			like := m.Rig.Interfaces[m.Voices[m.Rig.Banks[p.Bought.Like].First].Interface]
			for _, v := range m.Voices[len(rig.Voices):] {
				f := m.Rig.Interfaces[v.Interface]
				require.Equal(t, like.ZeroKey, f.ZeroKey, "%s: voice %d", buy, v.Voice)
			}
		}
		if buy == "1xK" || buy == "4xK" {
			require.NotContains(t, string(kept.Data), "Q1.pitch", buy)
		}
	}
}
