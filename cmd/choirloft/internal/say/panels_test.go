package say

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// drawnRig has a voice that is out, one with its own wire, a macro over a multiple,
// a common lane and a unison of one of two parts, on two interfaces.
const drawnRig = `
interfaces: {main: {profile: cv8-gate8}, low: {outputs: 4}}
banks: {K: {voices: 4, lanes: [cutoff], out: [2]}, L: {voices: 2}}
pins: {L1.pitch: low.cv 1, L1.gate: low.gate 2, L2.pitch: low.cv 3, L2.gate: low.gate 4}
macros: {bite: {from: CC 74 on 16, to: [K.resonance, K.level]}}
parts: {pad: {channel: 1, banks: [K], unison: {voices: 4}}, lead: {channel: 2, banks: [K, L]}}
`

// Cables of a second interface have its number before that of the jack.
func TestPanels(t *testing.T) {
	m := chartOf(t, drawnRig).Map
	panels := Panels(m)
	require.Len(t, panels, 2)
	sockets := map[string]Socket{}
	for _, p := range panels {
		for _, c := range p.Connectors {
			require.LessOrEqual(t, len(c.Sockets), 8)
			for _, s := range c.Sockets {
				if !s.Free {
					sockets[s.Head+" "+s.Signal] = s
				}
			}
		}
	}
	require.Equal(t, Socket{Jack: 1, Kind: "cv", Head: "K1", Signal: "pitch", Cable: "cv1", Colour: "brown"}, sockets["K1 pitch"])
	require.Equal(t, Socket{Jack: 2, Kind: "gate", Head: "K2", Signal: "gate", Cable: "gt2", Colour: "brown", Standing: "OUT"}, sockets["K2 gate"])
	require.Equal(t, Socket{Jack: 1, Kind: "output", Head: "L1", Signal: "pitch", Cable: "low:cv1", Colour: "red"}, sockets["L1 pitch"])
	require.Equal(t, "low:gt2", sockets["L1 gate"].Cable)
	require.Contains(t, sockets, "bite macro")
	require.Equal(t, "cutoff", sockets["K cutoff"].Signal)
	require.Len(t, sockets, 4+4+1+1+2+2, "pitches and gates of K, its lane, the macro, pitches and gates of L")
}

func TestFaces(t *testing.T) {
	c := chartOf(t, drawnRig)
	faces := Faces(c.Map)
	require.Len(t, faces, 2)
	require.Len(t, faces[0].Common, 3, "cutoff, resonance, level")
	require.Equal(t, VoiceFace{Name: "K1", Number: 1, State: "in", Pitch: "main cv 1", Gate: "main gate 1", PitchBy: "cv1", GateBy: "gt1",
		Detune: []string{"pad -6.0"}, Parts: "pad, lead"}, faces[0].Voices[0]) // 12 cents from −6 on
	require.Equal(t, "OUT", faces[0].Voices[1].Standing)
	require.Equal(t, VoiceFace{Name: "L1", Number: 5, State: "in", Pitch: "low out 1", Gate: "low out 2", PitchBy: "low:cv1", GateBy: "low:gt2", Parts: "lead"}, faces[1].Voices[0])

	labels := CableLabels(c.Map)
	require.Equal(t, CableLabel{Name: "cv1", Colour: "brown", Ends: [2]FlagFace{{"cv1", "to K1 pitch"}, {"K1 pitch", "from cv1"}}}, labels[0])
	table, same := c.banks()
	require.Empty(t, same, "parts differ")
	rows := table.Groups[0].Rows // of bank K: a row for each part
	require.Equal(t, []string{"1", "K1", "-", "cv1", "gt1", "pad", "1 of 4", "-6.0", "L 60"}, rows[0][:9])
	require.Equal(t, []string{"", "", "", "", "", "lead", "-", "-", "-", ""}, rows[1])
}
