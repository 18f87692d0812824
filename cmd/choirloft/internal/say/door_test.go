package say

import (
	"fmt"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/routing/plan"
)

// The door says of every voice what the map says, and of every jack that is plugged which
// voice it serves: each once, those of voices in a row of the same bank under one name.
func TestDoorSaysWhatTheMapSays(t *testing.T) {
	seen := 0
	for name, s := range sheets(t) {
		if !OnDoor(s.Map) {
			continue
		}
		seen++
		d, at := NewDoor(s.Map), 0
		served := map[string]string{} // by kind and number of a jack
		for _, g := range d.Jacks {
			for _, r := range g.Runs {
				require.Len(t, r.Out, len(r.Numbers))
				for i, number := range r.Numbers {
					at := g.Box + " " + g.Kind + number
					require.NotContains(t, served, at, name)
					served[at] = r.Label
					if g.Signal != "shared" {
						served[at] = r.Names[i]
					}
				}
			}
		}
		for _, l := range d.Lines {
			require.LessOrEqual(t, len(l.Voices), d.Across)
			for _, v := range l.Voices {
				want := &s.Map.Voices[at]
				at++
				require.Equal(t, want.Name, v.Name)
				require.Equal(t, want.State == "out", v.Out)
				for _, x := range []struct {
					jack         *contract.Jack
					kind, number string
				}{{want.Pitch, "cv", v.Pitch}, {want.Gate, "gt", v.Gate}} {
					if x.jack == nil {
						require.Empty(t, x.number)
						continue
					}
					number, box := strconv.Itoa(x.jack.Jack), x.jack.Interface
					if box == s.Map.Interfaces[0].Name {
						require.Equal(t, number, x.number)
					} else {
						require.Equal(t, box+":"+x.kind+number, x.number)
					}
					if len(s.Map.Interfaces) == 1 {
						box = ""
					}
					require.Contains(t, served, box+" "+doorKinds[x.jack.Kind]+number, name)
				}
			}
		}
		require.Len(t, s.Map.Voices, at, name)
	}
	require.Greater(t, seen, 3)
}

// A run ends with its connector and its bank; a voice that is out is white in it.
func TestDoorRuns(t *testing.T) {
	for name, s := range sheets(t) {
		if name != "kiln-yard.yaml" {
			continue
		}
		d := NewDoor(s.Map)
		require.Equal(t, []string{"cv pitch", "gt gate", "cv shared"}, []string{d.Jacks[0].Kind + " " + d.Jacks[0].Signal, d.Jacks[1].Kind + " " + d.Jacks[1].Signal, d.Jacks[2].Kind + " " + d.Jacks[2].Signal})
		last := d.Jacks[0].Runs[4]
		require.Equal(t, "P1 – P4", last.Label)
		require.Equal(t, []string{"17", "18", "19", "20"}, last.Numbers)
		require.Equal(t, []bool{false, true, false, false}, last.Out)
		require.Contains(t, d.Free, "cv 21-24 free")
		return
	}
	t.Fatal("no demo")
}

// Where there are two boxes the jacks of the second have the names of their cables, MIDI has the
// name of the box in front, on the door as in the table, and each strip says whose jacks it has.
func TestDoorOfTwoBoxes(t *testing.T) {
	m := contract.NewMap(planOfText(t, "interfaces: {left: {profile: cv8-gate8}, right: {profile: cv8-gate8}}\nbanks: {Saws: {voices: 8}, Pulse: {voices: 2}}\n", plan.Overrides{}))
	d := NewDoor(m)
	v := d.Lines[1].Voices[1]
	require.Equal(t, []string{"Pulse2", "right:cv2", "right:gt2", "right 1.2"}, []string{v.Name, v.Pitch, v.Gate, v.Address})
	require.Equal(t, "8", d.Lines[0].Voices[7].Pitch)
	var strips []string
	for _, g := range d.Jacks {
		strips = append(strips, g.Box+" "+g.Kind+" "+g.Runs[0].Label)
	}
	require.Equal(t, []string{"left cv Saws1 – Saws8", "left gt Saws1 – Saws8", "right cv Pulse1 – Pulse2", "right gt Pulse1 – Pulse2"}, strips)
	for _, row := range newChart(m).jackTable(&m.Interfaces[1], 60, false).Groups[0].Rows {
		if row[0] == "right:cv2" {
			require.Equal(t, v.Address, row[3])
			return
		}
	}
	t.Fatal("no right:cv2")
}

// A connector with a cable has all its jacks, in their places: of 32 CVs, eight a connector, 21 and
// 22 are the fifth and the sixth of the third, and 31 is the seventh of the fourth.
func TestDoorConnectors(t *testing.T) {
	d := NewDoor(contract.NewMap(planOf(t, "rigs/full.yaml", plan.Overrides{})))
	at := map[string]DoorSocket{}
	for i := range d.Connectors {
		for j, s := range d.Connectors[i].Jacks {
			require.Equal(t, strconv.Itoa((d.Connectors[i].Number-1)*8+j+1), s.Number)
			at[fmt.Sprintf("%s %d %d", d.Connectors[i].Kind, d.Connectors[i].Number, j+1)] = s
		}
	}
	require.Equal(t, DoorSocket{Number: "21", Label: "K+L", Signal: "cutoff"}, at["cv 3 5"])
	require.Equal(t, DoorSocket{Number: "22", Label: "M+N", Signal: "cutoff"}, at["cv 3 6"])
	require.Equal(t, DoorSocket{Number: "23", Free: true}, at["cv 3 7"])
	require.Equal(t, DoorSocket{Number: "31", Label: "bite", Signal: "macro", Moves: "macro: K+L resonance"}, at["cv 4 7"])
	require.Equal(t, DoorSocket{Number: "18", Label: "P2", Bank: "P", Out: true}, at["gt 3 2"])
	require.Len(t, d.Connectors, 4+3) // gates 25 to 32 have no cable
}

// What a jack goes through before it reaches a voice stands at the voice, and a star where
// the jack is: nobody is to plug volts into an input that wants a switch.
func TestDoorSaysWhatIsBetween(t *testing.T) {
	c := chartOf(t, drawnRig)
	for i := range c.Paths {
		for j := range c.Paths[i].Branches {
			if b := &c.Paths[i].Branches[j]; len(b.Inputs) == 1 && b.Inputs[0] == "K1.gate" {
				b.Via = []string{"conv"}
			}
		}
	}
	d := NewDoor(c.Map)
	require.Equal(t, []string{"gate via conv"}, d.Lines[0].Voices[0].Via)
	require.Empty(t, d.Lines[0].Voices[1].Via)
	require.Contains(t, d.Keys, "*: through a module, see the voice")
	at := slices.IndexFunc(d.Jacks, func(g DoorJacks) bool { return g.Kind == "gt" })
	require.Equal(t, "K1*", d.Jacks[at].Runs[0].Names[0])
}
