package live

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"

	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// change is a value of a rig file, at a path in which numbers are places in lists.
type change struct{ path, value string }

// offered are the changes of a rig that a finding names, each fix by itself.
func offered(rig *profiles.Rig, f *routing.Finding) (all [][]change) {
	fact := func(name string) (text string, names []string, ok bool) {
		for _, x := range f.Facts {
			if x.Name != name {
				continue
			}
			if x.Value != nil {
				return strconv.FormatFloat(*x.Value, 'f', -1, 64), x.Names, true
			}
			return strings.Join(x.Names, " "), x.Names, true
		}
		return "", nil, false
	}
	add := func(name, path, value string) {
		if text, _, ok := fact(name); ok {
			all = append(all, []change{{path, strings.ReplaceAll(value, "*", text)}})
		}
	}
	part, _, _ := fact("part")
	unison := "parts/" + part + "/unison/"
	switch f.Code {
	case routing.PitchShared, routing.GateShared:
		if stack, _, ok := fact("stack"); ok {
			_, parts, _ := fact("parts")
			var changes []change
			for _, name := range parts {
				changes = append(changes, change{"parts/" + name + "/unison/voices", stack}, change{"parts/" + name + "/unison/when_short", "blocks"})
			}
			all = append(all, changes)
		}
		if mono, _, ok := fact("mono"); ok {
			_, parts, _ := fact("parts")
			var changes []change
			for _, name := range parts {
				changes = append(changes, change{"parts/" + name + "/mode", mono}, change{"parts/" + name + "/unison/voices", "1"})
			}
			all = append(all, changes)
		}
	case routing.GatesInTurn:
		bank, _, _ := fact("bank")
		add("bank", "banks/"+bank+"/gates", "together")
	case routing.UnisonRemainder:
		add("divides", unison+"voices", "*")
		add("thin", unison+"when_short", "*")
	case routing.UnisonImpossible:
		add("most", unison+"voices", "*")
	case routing.UnisonThinned:
		bank, _, _ := fact("spare_in")
		add("spare_in", "banks/"+bank+"/use_spare", "true")
	case routing.CommonThrob:
		add("law", unison+"law", "*")
		add("slower", unison+"law", "*")
	case routing.PanCentred:
		add("wide", unison+"voices", "*")
	case routing.KeysUnplayed:
		low, _, _ := fact("low")
		add("top", "parts/"+part+"/keys", low+"-*")
	case routing.NoChannel:
		box, _, _ := fact("interface")
		add("ports", "interfaces/"+box+"/ports", "*")
	case routing.PitchBent:
		if at, ok := wireOf(f.Where); ok {
			add("feeds", at+"/calibrated_with", "*")
			all = append(all, []change{{at + "/through", "buffered 4"}})
		}
		if at := strings.Split(f.Where, "."); at[0] == "set_ups" {
			all = append(all, []change{{"set_ups/" + at[1] + "/through", "buffered 4"}})
		}
	case routing.GateTooLow, routing.GateMargin:
		box, _, _ := fact("interface")
		add("raise", "interfaces/"+box+"/gate", "* V")
	case routing.PinWithoutLane:
		lane, _, _ := fact("lane")
		for i := range rig.Banks {
			if bank, _, _ := strings.Cut(lane, "."); bank == rig.Banks[i].Name {
				add("common_lane", "banks/"+bank+"/lanes", "["+strings.Join(append(slices.Clip(rig.Banks[i].Lanes), "*"), ", ")+"]")
			}
		}
	}
	return all
}

// Steps that check offers where jacks are short, each written into the rig as its words have it, leave nothing
// without a jack and nothing that write or live refuses.
func TestStepsCanBeWritten(t *testing.T) {
	for _, c := range []struct{ rig, step, old, new string }{
		{"interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {inputs: [pitch, gate, velocity]}}\nbanks: {K: {voices: 2, kind: k}, L: {voices: 3, kind: k}}\n",
			"one velocity for each bank instead of each voice", "gate, velocity]}}\nbanks: {K: {voices: 2, kind: k}, L: {voices: 3, kind: k}}", "gate]}}\nbanks: {K: {voices: 2, kind: k, lanes: [velocity]}, L: {voices: 3, kind: k, lanes: [velocity]}}"},
		{"interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2, lanes: [cutoff]}, L: {voices: 2, lanes: [cutoff]}, M: {voices: 2, lanes: [cutoff]}}\n",
			"one cutoff for all banks, by a multiple at main cv 8", "banks:", "wiring: [{from: main.cv 8, through: passive, to: [K.cutoff, L.cutoff, M.cutoff]}]\nbanks:"},
		{"interfaces: {main: {cv: 8, gates: 4}}\nbanks: {K: {voices: 8}}\nparts: {p: {channel: 1, unison: {voices: 2}}}\n",
			"one gate for each unison block, by a multiple", "banks:",
			"wiring: [{from: main.gate 1, to: [K1.gate, K2.gate]}, {from: main.gate 2, to: [K3.gate, K4.gate]}, {from: main.gate 3, to: [K5.gate, K6.gate]}, {from: main.gate 4, to: [K7.gate, K8.gate]}]\nbanks:"},
		{"interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 8}}\nmacros: {m: {from: CC 1 on 1, to: K.level}}\n", "leave out the macro m", "macros: {m: {from: CC 1 on 1, to: K.level}}\n", ""},
		{"interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 8, lanes: [cutoff]}}\n", "leave out the shared CV K.cutoff", ", lanes: [cutoff]", ""},
		{"interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 12}}\n", "the jacks of cv16-gate16 for main", "cv8-gate8", "cv16-gate16"},
		{"interfaces: {main: {profile: cv32-gate32}}\nbanks: {K: {voices: 48}}\n", "the jacks of cv48-gate48 for main", "cv32-gate32", "cv48-gate48"}, // and four ports
		{"interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 12}}\n", "one more interface of profile cv4-gate4", "gate8}", "gate8}, more: {profile: cv4-gate4}"},
	} {
		load := func(text string) *profiles.Rig {
			rig, faults := profiles.Read("r.yaml", []byte("rig: R\n"+text), nil)
			require.Empty(t, faults, text)
			return rig
		}
		offers := func(text string) string {
			p, err := plan.Build(load(text), plan.Overrides{})
			require.NoError(t, err)
			i := slices.IndexFunc(p.Findings, func(f routing.Finding) bool { return f.Code == routing.LaneDoesNotFit })
			if i < 0 {
				return ""
			}
			return p.Findings[i].Hint
		}
		require.Contains(t, offers(c.rig), c.step)
		then := strings.Replace(c.rig, c.old, c.new, 1)
		require.NotEqual(t, c.rig, then)
		require.Empty(t, offers(then), then)
		p, dealt, live := refusals(t, load(then), aNote(t))
		require.NoError(t, dealt, then)
		require.NoError(t, live, then)
		worst, _ := routing.Worst(p.Findings)
		require.NotEqual(t, routing.Error, worst, then)
	}
	// more jacks are none without channels to move them, nor is a control beside a macro that moves it
	for _, c := range []struct{ rig, step string }{
		{"interfaces: {main: {profile: cv8-gate8, ports: 1}}\nbanks: {K: {voices: 20}}\n", "the jacks of"},
		{"interfaces: {main: {profile: cv8-gate8}}\nvoices: {k: {inputs: [pitch, gate, cutoff]}}\nbanks: {K: {voices: 5, kind: k}}\nmacros: {m: {from: CC 1 on 1, to: K.cutoff}}\n", "one cutoff for each bank"},
	} {
		rig, faults := profiles.Read("r.yaml", []byte("rig: R\n"+c.rig), nil)
		require.Empty(t, faults)
		for _, step := range routing.NewMap(rig).Steps {
			require.NotContains(t, step.Text, c.step)
		}
	}
}

// wireOf is the path of a wire that a finding stands at.
func wireOf(where string) (path string, ok bool) {
	at, ok := strings.CutPrefix(where, "wiring[")
	number, _, _ := strings.Cut(at, "]")
	return "wiring/" + number, ok
}

// written is a rig file with a change in it.
func (c change) written(t require.TestingT, root *yaml.Node) {
	at := root
	steps := strings.Split(c.path, "/")
	for _, step := range steps {
		if at.Kind == yaml.SequenceNode {
			n, err := strconv.Atoi(step)
			require.NoError(t, err)
			at = at.Content[n]
			continue
		}
		if at.Kind != yaml.MappingNode {
			*at = yaml.Node{Kind: yaml.MappingNode}
		}
		i := 0
		for i < len(at.Content) && at.Content[i].Value != step {
			i += 2
		}
		if i == len(at.Content) {
			at.Content = append(at.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: step}, &yaml.Node{Kind: yaml.MappingNode})
		}
		at = at.Content[i+1]
	}
	var value yaml.Node
	require.NoError(t, yaml.Unmarshal([]byte(c.value), &value))
	*at = *value.Content[0]
}

// refusals are what write and live have against a plan.
func refusals(t require.TestingT, rig *profiles.Rig, song *midi.Song) (p *plan.Plan, dealt, live error) {
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	_, dealt = deal.New(p, song, deal.Options{})
	_, live = New(p, Options{})
	return p, dealt, live
}

// tryFixes follows each fix of each finding of a rig by itself. It is a rig then; neither write nor live has
// anything against it that they had not before, but for further jacks in common of which a finding speaks; what was
// said is said no more. It counts them by code.
func tryFixes(t require.TestingT, data []byte, load func([]byte) (*profiles.Rig, profiles.Faults), song *midi.Song, seen map[routing.Code]int) {
	rig, faults := load(data)
	require.Empty(t, faults, string(data))
	p, dealt, live := refusals(t, rig, song)
	for i := range p.Findings {
		f := &p.Findings[i]
		for _, changes := range offered(rig, f) {
			var doc yaml.Node
			require.NoError(t, yaml.Unmarshal(data, &doc))
			for _, c := range changes {
				c.written(t, doc.Content[0])
			}
			then, err := yaml.Marshal(&doc)
			require.NoError(t, err)
			about := fmt.Sprintf("%s: %s (%s)\n%v\n%s", f.Code, f.Text, f.Hint, changes, then)
			fixed, faults := load(then)
			require.Empty(t, faults, about)
			q, dealtThen, liveThen := refusals(t, fixed, song)
			shared := slices.ContainsFunc(q.Findings, func(g routing.Finding) bool {
				return g.Code == routing.PitchShared || g.Code == routing.GateShared || g.Code == routing.JackOfVoiceOut
			})
			for _, then := range [][2]error{{dealt, dealtThen}, {live, liveThen}} {
				if then[1] != nil {
					require.Error(t, then[0], about)
				}
				if then[1] != nil && !shared {
					require.EqualError(t, then[0], then[1].Error(), about)
				}
			}
			require.False(t, slices.ContainsFunc(q.Findings, func(g routing.Finding) bool { return g.Code == f.Code && g.Where == f.Where && g.Text == f.Text }), about)
			seen[f.Code]++
		}
	}
}

// aNote is a song of one note on channel 1: MThd of format 0 with 96 ticks a quarter; on, off after 96 ticks, end
// of track.
func aNote(t *testing.T) *midi.Song {
	t.Helper()
	song, err := midi.Read([]byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x0c\x00\x90\x3c\x64\x60\x80\x3c\x00\x00\xff\x2f\x00"), midi.Options{})
	require.NoError(t, err)
	return song
}

// No fix that a finding of a rig of testdata offers leads to a refusal.
func TestNoFixIsRefused(t *testing.T) {
	song, seen := aNote(t), map[routing.Code]int{}
	for _, pattern := range []string{"../../testdata/*.yaml", "../../testdata/rigs/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, file := range files {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			load := func(data []byte) (*profiles.Rig, profiles.Faults) {
				return profiles.Read(filepath.Base(file), data, os.DirFS(filepath.Dir(file)))
			}
			tryFixes(t, data, load, song, seen)
		}
	}
	require.NotEmpty(t, seen)
}

// drawn is a random rig in which much may be wrong: jacks in common, voices that are out, stacks that do
// not fit, gates too low.
func drawn(t *rapid.T) []byte {
	var b strings.Builder
	pick := func(label string, of ...string) string { return rapid.SampledFrom(of).Draw(t, label) }
	fmt.Fprintf(&b, "rig: R\ninterfaces: {main: {cv: 24, gates: 24, ports: 2, output_resistance: %s, gate: %s}}\n",
		pick("resistance", "100 ohm", "1 kohm", "10 kohm"), pick("gate", "5 V", "3 V", "8 V"))
	fmt.Fprintf(&b, "voices: {k: {gate_threshold: %s}}\nbanks:\n", pick("threshold", "2.5 V", "4.2 V", "4.9 V"))
	sizes := []int{rapid.IntRange(2, 8).Draw(t, "K"), rapid.IntRange(1, 6).Draw(t, "L")}
	for i, name := range []string{"K", "L"} {
		state := pick("state", "", "", ", out: [1]", ", out: [2]", ", out: [1], spare: [2]", ", spare: [1]")
		if sizes[i] < 3 {
			state = ""
		}
		fmt.Fprintf(&b, "  %s: {voices: %d, kind: k%s}\n", name, sizes[i], state)
	}
	b.WriteString("parts:\n")
	for i, banks := range []string{"[K]", pick("banks", "[L]", "[K, L]")} {
		fmt.Fprintf(&b, "  p%d: {channel: %d, banks: %s", i, i+1, banks)
		if rapid.Bool().Draw(t, "unison") {
			fmt.Fprintf(&b, ", unison: {voices: %d, law: %s, when_short: %s}", rapid.IntRange(2, 4).Draw(t, "of"),
				pick("law", "even", "uneven", "golden"), pick("short", "blocks", "blocks", "thin"))
		}
		if rapid.IntRange(0, 3).Draw(t, "limited") == 0 {
			fmt.Fprintf(&b, ", limit: %d", rapid.IntRange(3, 5).Draw(t, "limit"))
		}
		b.WriteString("}\n")
	}
	b.WriteString("wiring:\n")
	for jack, bank := range []string{"K", "L"} {
		for at := 1; at < sizes[jack]; at += 2 {
			for _, input := range []string{"pitch", "gate"} {
				if kind := map[string]string{"pitch": "cv", "gate": "gate"}[input]; rapid.IntRange(0, 2).Draw(t, "wire") == 0 {
					fmt.Fprintf(&b, "  - {from: main.%s %d, to: [%s%d.%s, %s%d.%s]}\n", kind, 10*jack+at, bank, at, input, bank, at+1, input)
				}
			}
		}
	}
	b.WriteString("  - {from: main.cv 24, to: K.level}\npins: {L.cutoff: main.cv 23}\n")
	return []byte(b.String())
}

// Nor does one of a random rig.
func TestNoFixOfARandomRigIsRefused(t *testing.T) {
	corpora.Patient(t)
	song, seen, rigs := aNote(t), map[routing.Code]int{}, 40
	if corpora.Asked() {
		rigs = 400
	}
	load := func(data []byte) (*profiles.Rig, profiles.Faults) { return profiles.Read("r.yaml", data, nil) }
	random := rapid.Custom(drawn).Filter(func(data []byte) bool { _, faults := load(data); return len(faults) == 0 })
	for seed := range rigs {
		tryFixes(t, random.Example(seed), load, song, seen)
	}
	for _, code := range []routing.Code{routing.PitchShared, routing.GateShared, routing.UnisonRemainder, routing.UnisonThinned, routing.CommonThrob, routing.PitchBent, routing.GateTooLow, routing.PinWithoutLane} {
		require.Positive(t, seen[code], code)
	}
}
