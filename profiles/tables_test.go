package profiles

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

type table interface{ rows() []row }

// tables are all tables of the grammar.
var tables = map[string]table{
	"rig": rigShape, "order": orderShape, "timing": timingShape, "audible": audibleShape,
	"levels": levelsShape, "hearing": hearingShape, "tuned": tunedShape, "sound": soundShape, "rack": rackShape, "interface": interfaceShape, "sequencer": sequencerShape,
	"voice": kindShape, "bank": bankShape, "gear": gearShape, "supply": supplyShape, "ma": drawShape,
	"part": partShape, "unison": unisonShape, "macro": macroShape, "wire": wireShape, "jack": jackShape,
	"correction": correctionShape, "answer": answerShape, "sigma": sigmaShape, "set-up": setUpShape,
	"interface profile": interfaceProfiles.file, "sequencer profile": sequencerProfiles.file,
	"voice profile": kindProfiles.file,
}

// doc.go writes the grammar down once, so it must have all of it.
func TestDocNamesEveryKey(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	words := strings.FieldsFunc(string(doc), func(c rune) bool { return strings.ContainsRune(" \t\n/,:;", c) })
	named := map[string]bool{}
	for _, w := range words {
		named[w] = true
	}
	for name, table := range tables {
		for _, row := range table.rows() {
			require.True(t, named[row.key], "%s: doc.go does not name %s", name, row.key)
			require.NotEmpty(t, row.doc, "%s: %s has no line of doc", name, row.key)
			if row.def != "" && row.def != "{}" && !strings.HasPrefix(row.def, "[1, 2") {
				require.Contains(t, string(doc), "= "+row.def, "%s: default of %s", name, row.key)
			}
		}
	}
}

// Every key of the tables is in full.yaml or in the demo's rig; those that stand
// in neither are listed here.
func TestFullRigHasEveryKey(t *testing.T) {
	written := map[string]bool{}
	for _, file := range []string{rigs + "/full.yaml", "../testdata/kiln-yard.yaml"} {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		var doc yaml.Node
		require.NoError(t, yaml.Unmarshal(data, &doc))
		collectKeys(&doc, written)
	}
	added := map[string]bool{ // in neither file
		"outputs": true, "has": true, "order": true, "same_instant": true, "chords": true,
		"newcomer": true, "bend_tails": true, "+5": true, "+15": true, "-15": true, "fixed": true,
		"trigger": true, "shared": true, "gain": true, "pot": true, "volts": true,
		"interface": true, "sequencer": true, "voice": true,
	}
	for name, table := range tables {
		for _, row := range table.rows() {
			require.True(t, written[row.key] || added[row.key], "%s: %s", name, row.key)
		}
	}
}

func collectKeys(n *yaml.Node, keys map[string]bool) {
	for i, c := range n.Content {
		if n.Kind == yaml.MappingNode && i%2 == 0 {
			keys[c.Value] = true
		}
		collectKeys(c, keys)
	}
}

// Whatever a table allows, its defaults can be read.
func TestDefaultsAreWithinTheGrammar(t *testing.T) {
	for name, table := range tables {
		for _, row := range table.rows() {
			if row.def == "" {
				continue
			}
			r := &reader{middleC: C4}
			_, ok := row.shape.read(r, asNode(row.def), row.key)
			require.True(t, ok, "%s: %s: %v", name, row.key, r.faults)
		}
	}
}

func TestEveryTableWantsSomething(t *testing.T) {
	for name, table := range tables {
		for _, row := range table.rows() {
			require.NotEmpty(t, row.shape.wants(), "%s: %s", name, row.key)
			require.False(t, row.need && row.def != "", "%s: %s is needed and has a default", name, row.key)
		}
	}
}
