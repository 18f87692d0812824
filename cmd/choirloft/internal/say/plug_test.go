package say

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/prose"
	"choirloft/profiles"
	"choirloft/profiles/wild"
	"choirloft/routing/plan"
)

// everyRig are the rigs of testdata, of bad ones aside.
func everyRig(t testing.TB) map[string]*contract.Map {
	t.Helper()
	files, err := filepath.Glob(demo("rigs/*.yaml"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	all := map[string]*contract.Map{"kiln-yard.yaml": contract.NewMap(planOf(t, "kiln-yard.yaml", plan.Overrides{}))}
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		rig, faults := profiles.Read(file, data, os.DirFS(demo("rigs")))
		require.Empty(t, faults, file)
		p, err := plan.Build(rig, plan.Overrides{})
		require.NoError(t, err)
		all[filepath.Base(file)] = contract.NewMap(p)
	}
	return all
}

// placed is where each cable can be ticked on a page: the group, the cell, and how often.
type placed struct {
	group, cell string
	toggle      PlugToggle
	times       int
}

func placesOf(groups []PlugGroup) map[int]placed {
	all := map[int]placed{}
	put := func(group, cell string, toggles []PlugToggle) {
		for _, t := range toggles {
			all[t.At] = placed{group, cell, t, all[t.At].times + 1}
		}
	}
	for _, g := range groups {
		put(g.Name, "", g.Toggles)
		for _, c := range g.Cells {
			put(g.Name, c.Name, c.Toggles)
		}
	}
	return all
}

var jackEnd = regexp.MustCompile(`^(\S+) (cv|gate) (\d+)$`)

// plugSays holds that each cable of the schedule stands once on either page of each set-up that plugs it, on no
// other, and on the rack where its name for the end says, on the jacks in the connector of its jack.
func plugSays(t require.TestingT, m *contract.Map, name string) {
	p := NewPlug(m)
	all := slices.Concat(m.Cables, m.SetUpCables)
	require.Len(t, p.Cables, len(all), name)
	for _, s := range p.SetUps {
		rack, jacks, in := placesOf(s.Rack), placesOf(s.Jacks), 0
		for i := range all {
			x := &all[i]
			here := len(m.SetUps) == 0 || slices.Contains(x.SetUps, s.Name) || s.Name == noSetUp && len(x.SetUps) == 0
			want := 0
			if here {
				want, in = 1, in+1
			}
			require.Equal(t, want, rack[i].times, "%s: %s on the rack in %s", name, x.Number, s.Name)
			require.Equal(t, want, jacks[i].times, "%s: %s on the jacks in %s", name, x.Number, s.Name)
			if !here {
				continue
			}
			require.Equal(t, x.Number, rack[i].toggle.Cable)
			if at := rack[i]; at.cell == "" {
				require.True(t, strings.HasPrefix(x.To, at.group+"."), "%s: %s at %s", name, x.To, at.group)
			} else {
				require.True(t, x.To == at.cell || strings.HasPrefix(x.To, at.cell+"."), "%s: %s at %s", name, x.To, at.cell)
			}
			if jack := jackEnd.FindStringSubmatch(x.From); jack != nil {
				require.True(t, strings.HasPrefix(jacks[i].group, jack[1]+" "), "%s: %s at %s", name, x.From, jacks[i].group)
				require.Contains(t, strings.FieldsFunc(jacks[i].toggle.Small, func(r rune) bool { return r == ' ' }), numberOf(x.Number), name)
			}
		}
		require.Equal(t, in, s.Cables)
		require.Len(t, rack, in)
		require.Len(t, jacks, in)
	}
	for i := range all { // no cable is forgotten
		require.True(t, slices.ContainsFunc(p.SetUps, func(s PlugSetUp) bool { return placesOf(s.Rack)[i].times > 0 }), all[i].Number)
	}
}

// numberOf is what stands behind the letters of a cable's name.
func numberOf(cable string) string {
	return strings.TrimLeft(cable[strings.LastIndexByte(cable, ':')+1:], "abcdefghijklmnopqrstuvwxyz")
}

// Every cable of every rig can be ticked once on a page.
func TestPlugHasEveryCable(t *testing.T) {
	for name, m := range everyRig(t) {
		plugSays(t, m, name)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := wild.Rig(t, wild.Small)
		rig, faults := profiles.Read("test.yaml", []byte(text), nil)
		if len(faults) > 0 {
			t.Skip(faults[0].Message)
		}
		p, err := plan.Build(rig, plan.Overrides{})
		if err != nil {
			t.Skip(err.Error())
		}
		plugSays(t, contract.NewMap(p), text)
	})
}

// The jacks of every voice are those that the door of the rack shows, which is drawn from the map and not from
// its cables: the number before the stroke is that of the jack.
func TestPlugAgreesWithTheDoor(t *testing.T) {
	seen := 0
	for name, m := range everyRig(t) {
		door := map[string]DoorVoice{}
		if len(m.SetUps) == 0 && OnDoor(m) {
			for _, l := range NewDoor(m).Lines {
				for _, v := range l.Voices {
					door[v.Name] = v
				}
			}
		}
		for _, g := range NewPlug(m).SetUps[0].Rack {
			for _, c := range g.Cells {
				d, ok := door[c.Name]
				if !ok {
					continue
				}
				got := map[string]string{}
				for _, toggle := range c.Toggles {
					number, _, _ := strings.Cut(toggle.Big, "/")
					if strings.Contains(toggle.Cable, ":") {
						number, _, _ = strings.Cut(toggle.Cable, "/")
					}
					if got[toggle.Shape] == "" {
						got[toggle.Shape] = number
					}
				}
				require.Equal(t, d.Pitch, got["pill"], "%s: %s", name, c.Name)
				require.Equal(t, d.Gate, got["square"], "%s: %s", name, c.Name)
				require.Equal(t, d.Out, c.Out)
				require.Equal(t, d.Standing, c.Standing)
				seen++
			}
		}
	}
	require.Greater(t, seen, 100)
}

// By hand: eight jacks a connector. K and L have 5 voices together; M has 10, more than a connector, so that it begins at jack 6
// and its run goes on anew at 9.
func TestPlugBrackets(t *testing.T) {
	p := NewPlug(contract.NewMap(planOfText(t, "interfaces: {main: {profile: cv32-gate32}}\nbanks: {K: {voices: 3}, L: {voices: 2}, M: {voices: 10}}\n", plan.Overrides{})))
	var said []string
	for _, g := range p.SetUps[0].Jacks {
		for _, c := range g.Cells {
			text := g.Name + ": " + c.Name
			for _, x := range c.Toggles {
				text += " " + x.Small + " " + x.Big
			}
			said = append(said, text)
		}
	}
	require.Equal(t, []string{
		"main cv 1-8: K1 – K3 cv 1 K1 cv 2 K2 cv 3 K3",
		"main cv 1-8: L1 – L2 cv 4 L1 cv 5 L2",
		"main cv 1-8: M1 – M3 cv 6 M1 cv 7 M2 cv 8 M3",
		"main cv 9-16: M4 – M10 cv 9 M4 cv 10 M5 cv 11 M6 cv 12 M7 cv 13 M8 cv 14 M9 cv 15 M10",
		"main gt 1-8: K1 – K3 gt 1 K1 gt 2 K2 gt 3 K3",
		"main gt 1-8: L1 – L2 gt 4 L1 gt 5 L2",
		"main gt 1-8: M1 – M3 gt 6 M1 gt 7 M2 gt 8 M3",
		"main gt 9-16: M4 – M10 gt 9 M4 gt 10 M5 gt 11 M6 gt 12 M7 gt 13 M8 gt 14 M9 gt 15 M10",
	}, said)
}

// A tick is carried over by its two ends, whatever the cable is called now; what joins others is named.
func TestCarry(t *testing.T) {
	p := NewPlug(contract.NewMap(planOfText(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}}\n", plan.Overrides{})))
	c := p.Carry("OLD", []Ticked{{"cv1", "main cv 1", "K1.pitch"}, {"cv1b", "main cv 2", "K2.pitch"}, {"gt1", "main gate 1", "L1.gate"}, {"gt8", "main gate 8", "L4.gate"}})
	require.Equal(t, &Carried{
		Text:   "The rig has changed since you ticked, by plan OLD. Of 4 ticked cables 2 still join the same ends, and stay ticked.",
		Button: "Close", Cables: []int{0, 1},
		Changed: []string{"gt1 was ticked from main gate 1 to L1.gate. Now it goes from main gate 1 to K1.gate.",
			"gt8 was ticked from main gate 8 to L4.gate. There is no such cable now: pull it, muted."},
	}, c)
	require.Equal(t, "The rig has changed since you ticked, by plan OLD. No ticked cable joins the same ends.", p.Carry("OLD", []Ticked{{"gt8", "main gate 8", "L4.gate"}}).Text)
	require.Empty(t, p.Carry("OLD", []Ticked{{"cv1", "main cv 1", "K1.pitch"}}).Changed)
	for _, text := range slices.Concat(c.Changed, []string{c.Text, p.Kept, p.Caution}, p.Cautions, p.Keys) {
		require.Empty(t, prose.Long(text))
	}
}

// listOf is the list of a document that is ticked off.
func listOf(d *doc.Doc) doc.List {
	for _, b := range d.Blocks {
		if l, ok := b.(doc.List); ok && l.Boxes {
			return l
		}
	}
	return doc.List{}
}

// After a failure too a line is about the cable that stands in it.
func TestOutageIsAboutCables(t *testing.T) {
	for name, r := range outages(t) {
		about := map[string]string{}
		for _, item := range listOf(Outage(r, Paper)).Items {
			require.Len(t, item.About, len(item.Below))
			for i, line := range item.Below {
				about[item.About[i]] = line
			}
		}
		require.Len(t, about, len(r.Cables), name)
		if name == "few" { // cv1 and gt1 go from K1 to the spare, which has no jacks
			require.Equal(t, map[string]string{"move cv1": "cv1 (main cv 1) from K1.pitch to K3.pitch", "move gt1": "gt1 (main gate 1) from K1.gate to K3.gate"}, about)
		}
	}
}

// A line of moves between set-ups is about the cable that stands in it, which is one of the schedule.
func TestMovesAreAboutCables(t *testing.T) {
	p := planOf(t, "rigs/full.yaml", plan.Overrides{})
	cables := map[string]contract.Cable{}
	m := contract.NewMap(p)
	for _, x := range slices.Concat(m.Cables, m.SetUpCables) {
		cables[x.Number] = x
	}
	seen := 0
	for from := range 2 {
		for _, item := range listOf(Repatch(contract.NewRepatch(p, from, 1-from), Paper)).Items {
			for i, about := range item.About {
				what, name, _ := strings.Cut(about, " ")
				require.Contains(t, item.Below[i], "("+name+")")
				at := map[string]int{"pull": from, "plug": 1 - from}[what]
				require.Contains(t, cables[name].SetUps, m.SetUps[at], about)
				require.NotContains(t, cables[name].SetUps, m.SetUps[1-at], about)
				seen++
			}
		}
	}
	require.Equal(t, 2*(16+24), seen) // see testdata/rigs/full.yaml: 16 gates are pulled; 4 pitches, 4 gates and 16 ways on from multiples plugged
}
