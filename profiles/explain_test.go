package profiles

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

// exampleRig is what the examples of keys are put into.
const exampleRig = `rig: Examples
interfaces: {main: {profile: cv16-gate16}}
sequencers: {seq: {parts: 2}}
voices: {saw: {release: 2 s, drift: 2 cents}}
banks: {K: {voices: 4}, L: {voices: 4}}
`

// putInto puts the values of one map into another.
func putInto(into, from *yaml.Node) {
	for i := 0; i+1 < len(from.Content); i += 2 {
		key, value := from.Content[i], from.Content[i+1]
		_, old := lookup(into, key.Value)
		switch {
		case old == nil:
			into.Content = append(into.Content, key, value)
		case old.Kind == yaml.MappingNode && value.Kind == yaml.MappingNode:
			putInto(old, value)
		default:
			*old = *value
		}
	}
}

// Every row of every table is a key, at each of its places, and every key is read:
// its example is, and what it leads to is a row of a table.
func TestKeysAreTheTables(t *testing.T) {
	rows := map[string]bool{"fixed: the voice that plays each key": false} // of the map in pick, no table of the tests
	for _, table := range tables {
		for _, row := range table.rows() {
			rows[row.key+": "+row.doc] = false
		}
	}
	keys, places := Keys(), map[string]bool{}
	for _, k := range keys {
		require.False(t, places[k.Place] && !k.OfProfile, k.Place)
		places[k.Place] = true
		require.Contains(t, rows, k.Name()+": "+k.Meaning, k.Place)
		rows[k.Name()+": "+k.Meaning] = true
		require.NotContains(t, k.Meaning, "\n")
		require.LessOrEqual(t, len(strings.Fields(k.Meaning)), 25, k.Place)
	}
	for row, shown := range rows {
		require.True(t, shown, row)
	}
	require.Greater(t, len(keys), 150)
}

// The example of every key is read without a fault, within a rig of two banks, an
// interface and a sequencer, and has the key at its place.
func TestKeyExamples(t *testing.T) {
	files := fstest.MapFS{"boxes/stage.yaml": {Data: []byte("sequencer: stage\nparts: 2\n")}}
	for _, k := range Keys() {
		var rig, example yaml.Node
		require.NoError(t, yaml.Unmarshal([]byte(k.Example), &example), k.Place)
		if k.OfProfile {
			r := &reader{middleC: C4}
			file := map[string]shape{"interface": interfaceProfiles.file, "sequencer": sequencerProfiles.file, "voice": kindProfiles.file}[k.Place]
			_, ok := file.read(r, example.Content[0], "")
			require.True(t, ok, "%s: %v", k.Place, r.faults)
			continue
		}
		require.NoError(t, yaml.Unmarshal([]byte(exampleRig), &rig))
		putInto(rig.Content[0], example.Content[0])
		text, err := yaml.Marshal(&rig)
		require.NoError(t, err)
		_, faults := Read("rig.yaml", text, files)
		require.Empty(t, faults, "%s:\n%s", k.Place, k.Example)
		at := example.Content[0]
		for _, step := range strings.Split(k.Place, ".") {
			if at.Kind == yaml.SequenceNode {
				at = at.Content[0]
			}
			if step == "*" {
				at = at.Content[1]
				continue
			}
			_, at = lookup(at, step)
			require.NotNil(t, at, "%s:\n%s", k.Place, k.Example)
		}
	}
}

func TestKeysNamed(t *testing.T) {
	for asked, want := range map[string]string{
		"release": "voices.*.release measured.*.release measured.*.sigma.release", "banks.lanes": "banks.*.lanes", "banks.K.lanes": "banks.*.lanes", "main.cv": "interfaces.*.cv",
		"wiring[0].from": "wiring.from", "wiring (1st).from": "wiring.from", "hp": "interfaces.*.hp banks.*.hp gear.*.hp rack.hp", "unison.voices": "parts.*.unison.voices",
		"zero_key": "interfaces.*.zero_key sequencers.*.zero_key", "rack": "rack", "fixed": "parts.*.pick.fixed", "nonsense": "", "banks.release": "", "": "",
	} {
		var got []string
		for _, k := range KeysNamed(asked) {
			got = append(got, k.Place)
		}
		require.Equal(t, want, strings.Join(got, " "), asked)
	}
	for asked, want := range map[string]string{"relase": "voices.*.release", "bnks.lanes": "banks.*.lanes", "banks.lanse": "banks.*.lanes", "zerokey": "interfaces.*.zero_key"} {
		k, ok := NearestKey(asked)
		require.True(t, ok, asked)
		require.Equal(t, want, k.Place, asked)
	}
	_, ok := NearestKey("xylophone")
	require.False(t, ok)
}
