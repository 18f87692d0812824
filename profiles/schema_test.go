package profiles

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"choirloft/midi/corpora"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

// The schema that is shipped is the one of the tables. UPDATE_GOLDEN=1, or go
// generate, writes it.
func TestSchemaFile(t *testing.T) {
	golden(t, "rig.schema.json", string(Schema()))
	require.Equal(t, Schema(), Schema())
	require.NotContains(t, string(Schema()), `\u`)
}

// compiled is the schema, checked against its own meta-schema.
func compiled(t testing.TB, schema []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema))
	require.NoError(t, err)
	compiler := jsonschema.NewCompiler()
	require.NoError(t, compiler.AddResource("rig.schema.json", doc))
	s, err := compiler.Compile("rig.schema.json")
	require.NoError(t, err)
	return s
}

// asJSON turns a node into what a schema is asked about: keys are strings, and
// so is what JSON has no number for.
func asJSON(t require.TestingT, n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		object := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			object[n.Content[i].Value] = asJSON(t, n.Content[i+1])
		}
		return object
	case yaml.SequenceNode:
		list := []any{}
		for _, item := range n.Content {
			list = append(list, asJSON(t, item))
		}
		return list
	case yaml.AliasNode:
		return asJSON(t, n.Alias)
	}
	var v any
	require.NoError(t, n.Decode(&v))
	switch x := v.(type) {
	case time.Time:
		return n.Value
	case float64:
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return n.Value
		}
	}
	return v
}

// instance reads a file the way an editor does; nil if it is no YAML document.
func instance(t require.TestingT, data []byte) any {
	documents, err := split(data)
	if err != nil || len(documents) != 1 {
		return nil
	}
	return asJSON(t, documents[0])
}

func TestGoodRigsAreWithinTheSchema(t *testing.T) {
	schema := compiled(t, Schema())
	files, err := filepath.Glob(rigs + "/*.yaml")
	require.NoError(t, err)
	more, err := filepath.Glob("../testdata/*.yaml")
	require.NoError(t, err)
	files = append(files, more...)
	require.GreaterOrEqual(t, len(files), 4)
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		require.NoError(t, schema.Validate(instance(t, data)), file)
	}
}

// What the schema cannot see of the bad rigs, and why; it refuses all others.
var unseen = map[string]string{
	"alias":                  "an editor follows aliases",
	"bank-names":             "cv and gt are names like others",
	"duplicate-by-value":     "60 and C4 are two texts",
	"duplicate-key":          "gone before a schema sees the file; editors complain by themselves",
	"fixed-outside":          "a reference",
	"free-above-limit":       "a rule between two values",
	"gates-missing":          "a reference",
	"middle-c":               "which octaves there are depends on middle_c",
	"modules-circle":         "references",
	"modules-gates":          "references",
	"modules-kinds":          "references",
	"modules-triggers-wires": "references",
	"mpe-zones":              "a rule between two parts",
	"pins-on-outputs":        "references, and a jack of two pins",
	"profile-faults":         "the faults are in other files",
	"reserves":               "sums over parts and banks",
	"reserves-default":       "sums over parts and banks",
	"same-names":             "names of two maps",
	"too-many-voices":        "a sum",
	"unison-width":           "a sum over banks",
}

// noDocument are the bad rigs that are no single YAML document.
var noDocument = []string{
	"control-character", "empty", "line-break", "not-utf8", "null", "second-document", "syntax", "syntax-tab", "syntax-tab-inside",
}

func TestBadRigsAreOutsideTheSchema(t *testing.T) {
	schema := compiled(t, Schema())
	files, err := filepath.Glob(rigs + "/bad/*.yaml")
	require.NoError(t, err)
	var accepted, unread []string
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		switch v := instance(t, data); {
		case v == nil:
			unread = append(unread, name)
		case schema.Validate(v) == nil:
			accepted = append(accepted, name)
		}
	}
	require.ElementsMatch(t, slices.Collect(maps.Keys(unseen)), accepted)
	require.ElementsMatch(t, noDocument, unread)
}

// One structural fault each.
func TestSchemaRefuses(t *testing.T) {
	schema := compiled(t, Schema())
	valid := func(text string) bool { return schema.Validate(instance(t, []byte(text))) == nil }
	require.True(t, valid("rig: R\nbanks: {K: {voices: 4}}\n"))
	for _, text := range []string{
		"rig: R\n", "banks: {K: {voices: 4}}\n", "rig: R\nbanks: {}\n", "rig: R\nbanks: {K: {}}\n",
		"rig: ' '\nbanks: {K: {voices: 4}}\n", "rig: R\nbanks: {K1: {voices: 4}}\n", "rig: R\nbanks: [K]\n",
	} {
		require.False(t, valid(text), text)
	}
	for _, row := range []struct{ at, good, bad string }{
		{"a4", "440 Hz", "440"}, {"a4", "0.44 kHz", "440 V"}, {"a4", "440Hz", "0440 Hz"},
		{"voices.k.attack", "5 ms", "-5 ms"}, {"voices.k.sustain", "33.3 %", "33,3 %"}, {"audible.free", "−60 dB", "-60"},
		{"rack.hp", "84 HP", "84 mm"}, {"rack.hp", "84", "1001"}, {"banks.K.ma", "{+12: 380}", "{12: 380}"},
		{"banks.K.ma", "{+12: 0.38 A}", "{+12: 100001}"}, {"banks.K.out", "[1, 2]", "[1, 1]"},
		{"banks.K.out", "[1]", "[]"}, {"banks.K.use_spare", "true", "yes"}, {"banks.K.limited", "{1: 36-96}", "{0: 36-96}"},
		{"parts.p.channel", "16", "17"}, {"parts.p.channel", "[1, port 128 channel 16]", "[1, port 129 channel 16]"},
		{"parts.p.channel", "mpe lower 15", "mpe lower 16"}, {"parts.p.channel", "mpe upper", "mpe"},
		{"parts.p.keys", "C2-C7", "H2-C7"}, {"parts.p.keys", "60", "128"}, {"parts.p.velocities", "1-127", "0-127"},
		{"parts.p.mode", "mono last", "mono"}, {"parts.p.reattack", "press and return", "both"},
		{"parts.p.unison", "{voices: 2, law: power 1.5}", "{voices: 2, law: golden 2}"},
		{"parts.p.unison", "{detune: voice}", "{detune: voices}"}, {"parts.p.unison", "{scaling: between}", "{scaling: half}"},
		{"parts.p.unison", "{voices: 64}", "{voices: 65}"}, {"parts.p.unison", "{regrow: true}", "{regrows: true}"},
		{"parts.p.pick", "same-key then nearest", "same-key then fixed"}, {"parts.p.pick", "{fixed: {60: K1}}", "{fixed: {60: K}}"},
		{"parts.p.bend_range", "2.5", "2 semitones"}, {"parts.p.seed", "0", "-1"},
		{"interfaces.i.profile", "cv8-gate8", "cv9-gate9"}, {"interfaces.i.profile", "boxes/mine.yaml", "boxes"},
		{"interfaces.i.window", "-5 V to +5 V", "5 V"}, {"interfaces.i.scale", "261.63 Hz at 1 V", "261.63 Hz"},
		{"interfaces.i.gate", "S-trig", "s-trig"}, {"wiring", "[{from: i.cv 1, to: K.cutoff, through: buffered 4}]",
			"[{from: i.cv 1, to: K.cutoff, through: buffered 65}]"},
		{"macros.m", "{from: CC 119 on 16, to: [K.cutoff]}", "{from: CC 120 on 16, to: [K.cutoff]}"},
		{"pins", "{K1.pitch: i.cv 1, bite: i.gate 2}", "{K1.pitch: i.out 1}"},
		{"corrections", "{K1: {measured: 2026-11-02}}", "{K1: {measured: 02.11.2026}}"},
	} {
		require.True(t, valid(withValue(row.at, row.good)), "%s: %s", row.at, row.good)
		require.False(t, valid(withValue(row.at, row.bad)), "%s: %s", row.at, row.bad)
	}
}

// Whatever the reader takes as a value, the schema takes: every value of every
// rig here, good or bad, and every default, tried on every key of the grammar.
func TestSchemaTakesWhatIsRead(t *testing.T) {
	values := everyValue(t)
	for name, table := range tables {
		for _, row := range table.rows() {
			text, err := json.Marshal(row.schema())
			require.NoError(t, err)
			schema, taken := compiled(t, text), 0
			for _, n := range values {
				if !within(row.shape, n) {
					continue
				}
				if taken++; taken > corpora.Some(4, math.MaxInt) {
					break
				}
				require.NoError(t, schema.Validate(asJSON(t, n)), "%s: %s: line %d, %q", name, row.key, n.Line, n.Value)
			}
			require.NotZero(t, taken, "%s: nothing here is a %s", name, row.key)
		}
	}
}

// within tells whether the reader takes a value, before names are looked up,
// but for those of built-in profiles.
func within(s shape, n *yaml.Node) bool {
	if l, ok := s.(leaf); ok {
		if p, ok := l.scalar.(profileName); ok && !slices.Contains(builtinNames(p.folder), n.Value) && n.Value != "boxes/mine.yml" {
			return false
		}
	}
	r := &reader{middleC: C4}
	r.checkTree(n)
	v, ok := s.read(r, n, "")
	_, isName := v.(spot[string])
	_, areNames := v.([]spot[string])
	_, isSource := v.(spot[jackName])
	_, areEnds := v.([]spot[targetName])
	_, isNormal := v.(normalWhat)
	if (isName || areNames || isSource || areEnds || isNormal) && n.ShortTag() == "!!bool" {
		return false // the schema wants quotes, and says so
	}
	return ok && v != nil && len(r.faults) == 0
}

// everyValue lists the values of all rigs and all defaults.
func everyValue(t *testing.T) []*yaml.Node {
	var all []*yaml.Node
	seen := map[string]bool{} // many rigs say the same
	add := func(data []byte) {
		documents, err := split(data)
		if err != nil {
			return // of the bad ones that are no YAML
		}
		for _, d := range documents {
			for _, n := range valuesOf(d) {
				text, err := yaml.Marshal(n)
				require.NoError(t, err)
				if !seen[string(text)] {
					seen[string(text)] = true
					all = append(all, n)
				}
			}
		}
	}
	for _, pattern := range []string{rigs + "/*.yaml", rigs + "/bad/*.yaml", "../testdata/*.yaml", "builtin/*/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, file := range files {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			add(data)
		}
	}
	for _, table := range tables {
		for _, row := range table.rows() {
			if row.def != "" {
				add([]byte(row.def))
			}
		}
	}
	for _, text := range []string{"mpe upper 7", "port 2 channel 5", "C-1-C-1", "36–96", "B♭3", "power 1.5", "320 us",
		"100 kΩ", "1 cent", "5ms", "+5 V", "−3 dB", "{+5: 1 mA, +15: 3, -15: 2}", "4 V", "'C2'", "'60'", "'5 ms'",
		"261.63 Hz at 1 V (Hz/V)", "808", "CC 0 on 1", "CC7 on port 1 channel 1", "120 HP", "{fixed: {C4: K1}}", "boxes/mine.yml"} {
		add([]byte(text))
	}
	return all
}

func valuesOf(n *yaml.Node) []*yaml.Node {
	all := []*yaml.Node{n}
	for i, c := range n.Content {
		if n.Kind == yaml.SequenceNode || i%2 == 1 {
			all = append(all, valuesOf(c)...)
		}
	}
	return all
}
