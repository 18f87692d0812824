package say

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
)

// planOfText is the plan of a rig that is given as text, without its name.
func planOfText(t testing.TB, text string, o plan.Overrides) *plan.Plan {
	t.Helper()
	rig, faults := profiles.Read("rig.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	return p
}

func chartOf(t testing.TB, text string) *chart {
	return newChart(contract.NewMap(planOfText(t, text, plan.Overrides{})))
}

// tightRig has lanes without a jack, and a voice without either.
const tightRig = "interfaces: {main: {profile: cv4-gate4}}\nbanks: {K: {voices: 5}}\n"

// sheets are the maps of rigs of all sorts: with unisons, set-ups, hertz per volt,
// jacks that give either, lanes that do not fit, and without an interface.
func sheets(t testing.TB) map[string]*contract.Sheet {
	all := map[string]*contract.Sheet{}
	for _, file := range []string{"kiln-yard.yaml", "rigs/full.yaml", "rigs/one-jack.yaml", "rigs/own-zero-key.yaml", "rigs/summed.yaml"} {
		all[file] = contract.NewSheet(planOf(t, file, plan.Overrides{}))
	}
	all["unison"] = contract.NewSheet(planOf(t, "kiln-yard.yaml", plan.MustParse("--unison", "pad=4", "--unison", "lead=5")))
	all["large unison"] = contract.NewSheet(planOf(t, "kiln-yard.yaml", plan.Overrides{Unison: plan.Only("pad", 7)}))
	revised := contract.NewSheet(planOf(t, "kiln-yard.yaml", plan.Overrides{}))
	revised.Map.Since(all["rigs/full.yaml"].Map)
	all["revised"] = revised
	for name, text := range map[string]string{
		"tight": tightRig, "bare": "banks: {K: {voices: 1}}\n",
		"hertz":  "interfaces: {main: {outputs: 12, scale: 261.63 Hz at 1 V}}\nbanks: {K: {voices: 4, limited: {2: 40-76}, spare: [4], use_spare: true}}\n",
		"spares": "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4, limited: {1: 40-76}, out: [2], spare: [3]}, L: {voices: 3, out: [1], spare: [3], use_spare: true}}\n",
	} {
		all[name] = contract.NewSheet(planOfText(t, text, plan.Overrides{}))
	}
	return all
}

func onScreen(m *contract.Map) *doc.Doc { return Map(m, Screen) }
func onPaper(m *contract.Map) *doc.Doc  { return Map(m, Paper) }

// charts are maps, and their sheets.
func charts(t testing.TB) (all []said) {
	for name, s := range sheets(t) {
		all = append(all, of("map "+name, s.Map, onScreen), of("map on paper "+name, s.Map, onPaper), of("sheet "+name, s, Sheet))
	}
	for name, text := range map[string]string{
		"bare": "interfaces: {main: {cv: 1, gates: 1}}\nbanks: {K: {voices: 2}}\n", "audio": "interfaces: {main: {profile: audio-dc8, settling: 0.5 ms}}\nbanks: {K: {voices: 2}}\n",
		"measured": "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\nwiring: [{from: main.cv 1, through: passive, to: K.pitch}]\n" +
			"corrections: {K2: {offset: -10 mV, residual: 0.3 cents, readings: [0 V, 1 V, 2 V, 3 V], inputs: 1}}\n",
	} {
		p := planOfText(t, text, plan.Overrides{})
		for voice := range 2 {
			all = append(all, of("pitch "+name, contract.NewPitch(p, voice), Pitch))
		}
	}
	return all
}

// sections are the blocks of a document below its headings. Of several with the
// same heading it is the first.
func sections(d *doc.Doc) (order []string, blocks map[string][]doc.Block) {
	blocks = map[string][]doc.Block{}
	at := ""
	for _, b := range d.Blocks {
		if h, ok := b.(doc.Heading); ok {
			if at = h.Text; slices.Contains(order, at) {
				at += " again"
			}
			order = append(order, at)
			continue
		}
		blocks[at] = append(blocks[at], b)
	}
	return order, blocks
}

// unisonLines are what stands below the picture of a unison, but for what that says.
func unisonLines(blocks []doc.Block) (all []string) {
	for _, item := range blocks[len(blocks)-1].(doc.List).Items {
		if !strings.HasPrefix(item.Text, "Evenly spaced: ") {
			all = append(all, item.Text)
		}
	}
	return all
}

// TestSheetHasEverySection: what the map says is on its sheet too, under the same
// heading. Voices and lanes are drawings and tables there: each of their jacks is
// in the table that goes with an interface, and each voice in that of the banks.
func TestSheetHasEverySection(t *testing.T) {
	for name, s := range sheets(t) {
		order, said := sections(Map(s.Map, Screen))
		_, drawn := sections(Sheet(s))
		first := slices.DeleteFunc(drawn[""], func(b doc.Block) bool { return b == doc.Block(doc.Figure{Name: FigureDoor}) })
		require.Equal(t, said[""], first, "%s: the answer", name)
		for _, heading := range order {
			switch {
			case heading == "Voices", heading == "Controls and macros":
			case strings.HasPrefix(heading, "Unison of "): // its picture says the rest
				require.Subset(t, unisonLines(drawn[heading]), unisonLines(said[heading]), "%s: %s", name, heading)
			default:
				require.Equal(t, said[heading], drawn[heading], "%s: %s", name, heading)
			}
		}
		var jacks []string
		for heading, blocks := range drawn {
			if of, ok := strings.CutPrefix(heading, headJacks); ok {
				for _, row := range tableRows(blocks) {
					for _, jack := range jackOf(row[0]) {
						jacks = append(jacks, strings.Join([]string{of, jack, row[5], row[3]}, " ")) // connector, MIDI
					}
				}
			}
		}
		for _, row := range tableRows(said["Controls and macros"]) {
			require.Contains(t, jacks, strings.Join([]string{row[1], row[2], row[3] + "." + row[4]}, " "), name)
		}
		wall, banks := tableRows(said["Voices"]), slices.DeleteFunc(tableRows(drawn[headVoices]), func(row []string) bool { return row[0] == "" })
		require.Len(t, banks, len(wall), name)
		for i, row := range wall {
			v := &s.Map.Voices[slices.IndexFunc(s.Map.Voices, func(v contract.MapVoice) bool { return v.Name == row[1] })]
			for _, j := range []*contract.Jack{v.Pitch, v.Gate} {
				if j != nil {
					require.Contains(t, jacks, strings.Join([]string{j.Interface, jackName(j), connector(j), newChart(s.Map).addressed(j)}, " "), name)
				}
			}
			if banks[i][2] == unit.None {
				banks[i][2] = serving
			}
			require.Equal(t, row[:3], banks[i][:3], name) // number, name, state
		}
	}
}

// jackOf is the jack that a cable comes out of: cv 27 for cv27/2, or out 27 where jacks give
// either.
func jackOf(cable string) []string {
	m := regexp.MustCompile(`(cv|gt)(\d+)(/\d+)*$`).FindStringSubmatch(cable)
	if m == nil {
		return []string{cable}
	}
	return []string{map[string]string{"cv": "cv ", "gt": "gate "}[m[1]] + m[2], "out " + m[2]}
}

func tableRows(blocks []doc.Block) (rows [][]string) {
	for _, b := range blocks {
		if t, ok := b.(doc.Table); ok {
			for _, g := range t.Groups {
				rows = append(rows, g.Rows...)
			}
		}
	}
	return rows
}

// A longer rig changes no line of a voice, a lane or a macro, at any width and
// however long the new names are.
func TestLongerRigChangesNoLine(t *testing.T) {
	const short, long = "K: {voices: 4, lanes: [cutoff]}", ", Longname: {voices: 12, lanes: [cutoff], limited: {2: 40-76}}"
	lines := func(banks, macros string, width int) (all []string) {
		c := chartOf(t, "interfaces: {main: {profile: cv32-gate32}}\nbanks: {"+banks+"}\nmacros: {bite: {from: CC 74 on 16, to: [K.resonance]}"+macros+"}\n")
		var d doc.Doc
		d.Add(c.voices(), c.lanes())
		return strings.Split(textOf(t, &d, width), "\n")
	}
	for width := 60; width <= 120; width += corpora.Some(7, 1) {
		after := lines(short+long, ", slowest: {from: CC 11 on 16, to: [K.level, K.cutoff, Longname.resonance]}", width)
		for _, line := range lines(short, "", width) {
			require.Contains(t, after, line, "at %d", width)
		}
	}
}

func TestStandingOfVoices(t *testing.T) {
	m := sheets(t)["spares"].Map
	var standings, states []string
	for i := range m.Voices {
		standings, states = append(standings, mapVoice{&m.Voices[i]}.standing(m.MiddleC)), append(states, m.Voices[i].State)
	}
	require.Equal(t, []string{"LIMITED E2-E5", "OUT", "SPARE", "in", "OUT", "in", "FOR L1"}, standings)
	require.Equal(t, []string{"limited", "out", "spare", "in", "out", "in", "in"}, states)
	require.Nil(t, m.Voices[2].Part, "a spare at rest plays nothing")
	require.Contains(t, newChart(m).summary(), ": 7 voices (2 out, 1 limited, 2 spare) in 2 banks on 7 pitch jacks and 7 gate jacks, over 1 MIDI port")
}

// TestDetuneThatChanges: what no fixed stack or voice gives is said to vary.
func TestDetuneThatChanges(t *testing.T) {
	const head = "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}}\n"
	for parts, want := range map[string][2]string{
		"parts: {p: {}}\n":                                                       {"-", "-"},
		"parts: {p: {unison: {voices: 4}}}\n":                                    {"-6.0", "L 60"},
		"parts: {p: {unison: {voices: 4, when_short: thin}}}\n":                  {"varies", "varies"},
		"parts: {p: {channel: 1, unison: {voices: 4}}, q: {channel: 2}}\n":       {"varies", "varies"},
		"parts: {p: {unison: {voices: 4, when_short: thin, detune: voice}}}\n":   {"-6.0", "L 60"},
		"parts: {p: {unison: {voices: 2, spread: 5 cents, when_short: blocks}}}": {"-2.5", "C"},
	} {
		cents, pan := mapVoice{&chartOf(t, head+parts).Voices[0]}.tuned()
		require.Equal(t, want, [2]string{cents, pan}, parts)
	}
}

func TestLanesWithoutAJackAreNamed(t *testing.T) {
	c := chartOf(t, tightRig)
	require.Equal(t, []string{"K5.pitch", "K5.gate"}, c.Missing)
	require.Contains(t, c.summary(), "2 signals without a jack: K5.pitch and K5.gate")
	require.NotEmpty(t, c.Steps)
	require.Nil(t, c.Voices[4].Pitch)
	require.Equal(t, []string{"5", "K5", "in", "-", "-", "-", "-", "-", "-", "-", "all"}, c.voices().Groups[1].Rows[0])
}

func TestTitlesOfInterfaces(t *testing.T) {
	hertz := newChart(sheets(t)["hertz"].Map)
	require.Nil(t, hertz.Voices[0].ZeroKey)
	require.Equal(t, "Voices on main, 0 V to 5 V (assumed), 261.6 Hz at 1 V, Hz/V", hertz.voices().Groups[0].Title)
	require.Equal(t, "Voices on main (cv4-gate4), 0 V to 5 V (assumed), 0 V at C2 (36) (assumed), 1 V/oct", chartOf(t, tightRig).voices().Groups[0].Title)
	given := chartOf(t, "interfaces: {main: {cv: 4, gates: 4, window: 0 V to 5 V, zero_key: C2}}\nbanks: {K: {voices: 4}}\n")
	require.Equal(t, "Voices on main, 0 V to 5 V, 0 V at C2 (36), 1 V/oct", given.voices().Groups[0].Title)
}

// Where an output gives a CV or a gate, a cable has the number of its output, not that of a CV or a gate jack.
func TestNamesOfCables(t *testing.T) {
	const apart, numbered = "cv12 comes out of CV jack 12, gt3 out of gate jack 3. ", "cv12 brings a CV out of output 12, gt3 a gate out of output 3. "
	for interfaces, says := range map[string]string{
		"{a: {profile: cv8-gate8}, b: {profile: cv4-gate4}}":  "jack: " + apart + "On",
		"{a: {profile: audio-dc8}, b: {profile: audio-dc16}}": "jack: " + numbered + "On",
		"{a: {profile: cv8-gate8}, b: {profile: audio-dc8}}":  "jack: " + apart + "Where outputs give either, " + numbered + "On",
	} {
		require.Contains(t, chartOf(t, "interfaces: "+interfaces+"\nbanks: {K: {voices: 2}}\n").cableNames().Text, says)
	}
}

// TestMapAsMarkdown with a name that has signs of Markdown.
func TestMapAsMarkdown(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: 'One, \"two\" | *three*'\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 2}}\n"), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	var b strings.Builder
	require.NoError(t, doc.Markdown(&b, Map(contract.NewMap(p), Paper)))
	require.Contains(t, b.String(), `# One, "two" \| \*three\*: channel map`+"\n\nplan "+rig.Fingerprint()+"\n")
	require.Contains(t, b.String(), "\n| 1 | K1 | in | cv 1 |")
}

// TestPartsAreSaidOnce: parts that play on all voices stand in the heading, and no row
// repeats them; where they differ each row has its own.
func TestPartsAreSaidOnce(t *testing.T) {
	table := newChart(contract.NewMap(planOf(t, "kiln-yard.yaml", plan.Overrides{}))).voices()
	require.Equal(t, "Voices on main (cv32-gate32), 0 V to 5 V, 0 V at C2 (36), 1 V/oct, playing pad, bass, arp, lead", table.Groups[0].Title)
	require.NotContains(t, heads(table), "Part")
	require.Len(t, table.Groups[0].Rows[0], len(table.Columns))
	table = chartOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}, L: {voices: 2}}\nparts: {low: {banks: [K]}, high: {}}\n").voices()
	require.Contains(t, heads(table), "Part")
	require.NotContains(t, table.Groups[0].Title, "playing")
}

// The parts of a voice stand in its row as far as 80 columns go, with what is longer in
// the row before it caught up; many parts go below.
func TestPartsStandInTheRow(t *testing.T) {
	rows := func(parts string) []string {
		c := chartOf(t, "interfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4, limited: {3: 40-76}}}\nparts: {"+parts+"}\n")
		var d doc.Doc
		d.Add(c.voices())
		return strings.Split(textOf(t, &d, 80), "\n")
	}
	require.Contains(t, rows("unipad: {unison: {voices: 4}}"), "    3  K3     LIMITED E2-E5  cv 3  gate 3    1    3    +2.0  unipad stack 1")
	require.Contains(t, rows("all: {}"), "    3  K3     LIMITED E2-E5  cv 3  gate 3  1-3      1    3       -       -  all")
	require.Contains(t, rows("unipad: {channel: 1, unison: {voices: 2}}, lead-of-all: {channel: 2, unison: {voices: 4}}"), "        unipad stack 1, lead-of-all stack 1")
}

func TestGateOrsOnTheMap(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv16-gate16}}\nsequencers: {seq: {parts: 2}}\nbanks: {K: {voices: 4}, L: {voices: 4}}\n" +
		"set_ups: {studio: {from: main}, stage: {from: seq, parts: {1: K, 2: L}, gates: "
	require.Equal(t, "A gate-OR stands between the gate jacks and banks K and L in every set-up, with two cables a voice.", chartOf(t, rig+"or}}\n").gateOrLine())
	require.Empty(t, chartOf(t, rig+"multiples}}\n").gateOrLine())
}

// A voice that has its pitch from the jack of another one has two addresses: pitch before gate.
func TestPitchAndGateHaveTheirOwnAddress(t *testing.T) {
	c := chartOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, shared: pitch}, L: {voices: 1}}\n")
	var addresses []string
	for i := range c.Voices {
		cells := mapVoice{&c.Voices[i]}.cells(4)
		addresses = append(addresses, cells[6]+" "+cells[7])
	}
	require.Equal(t, []string{"1 1", "1 1/2", "1 3"}, addresses)
}
