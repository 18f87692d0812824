package say

import (
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
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
					require.NotContains(t, served, g.Kind+number, name)
					served[g.Kind+number] = r.Label
					if g.Signal != "shared" {
						served[g.Kind+number] = r.Names[i]
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
					jack   *contract.Jack
					number string
				}{{want.Pitch, v.Pitch}, {want.Gate, v.Gate}} {
					if x.jack == nil {
						require.Empty(t, x.number)
						continue
					}
					box := 0
					for s.Map.Interfaces[box].Name != x.jack.Interface {
						box++
					}
					number := strconv.Itoa(x.jack.Jack)
					if box > 0 {
						number = strconv.Itoa(box+1) + ":" + number
					}
					require.Equal(t, number, x.number)
					require.Contains(t, served, doorKinds[x.jack.Kind]+number, name)
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

// Long names get a number in brackets, which is explained on the page.
func TestDoorNames(t *testing.T) {
	d := &Door{}
	short := shortNames(d)
	require.Equal(t, "K", short("K", 3))
	require.Equal(t, "(1)", short("Grandvoice", 3))
	require.Equal(t, "(1)", short("Grandvoice", 8))
	require.Equal(t, "(2)", short("K1", 0))
	require.Equal(t, []string{"(1) is Grandvoice", "(2) is K1"}, d.Keys)
	require.Equal(t, "(1)3", doorName(&contract.MapVoice{Name: "Grandvoice3", Bank: "Grandvoice", Position: 3}, "(1)"))
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
