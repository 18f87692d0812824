package say

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// planOf returns the plan of a rig under testdata.
func planOf(t testing.TB, file string, o plan.Overrides) *plan.Plan {
	t.Helper()
	data, err := os.ReadFile(demo(file))
	require.NoError(t, err)
	rig, faults := profiles.Read(file, data, os.DirFS(demo("rigs")))
	require.Empty(t, faults)
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	return p
}

// repatches are all ways between the set-ups of the full rig.
func repatches(t *testing.T) (all []said) {
	p := planOf(t, "rigs/full.yaml", plan.Overrides{})
	for from := range p.Rig.SetUps {
		for to := range p.Rig.SetUps {
			if from != to {
				r := contract.NewRepatch(p, from, to)
				for _, room := range []Room{Screen, Paper} {
					all = append(all, of(fmt.Sprint("repatch ", r.From, " ", r.To, " ", room), r, func(r *contract.Repatch) *doc.Doc { return Repatch(r, room) }))
				}
			}
		}
	}
	require.NotEmpty(t, all)
	for _, file := range []string{"rigs/full.yaml", "kiln-yard.yaml"} {
		for _, song := range []*midi.Song{nil, songOf(t, "slow-kiln.mid")} {
			all = append(all, of(fmt.Sprint("set-ups of ", file, song != nil), setUpsOf(t, file, song), SetUps))
		}
	}
	return all
}

func setUpsOf(t *testing.T, file string, song *midi.Song) *contract.SetUps {
	t.Helper()
	p := planOf(t, file, plan.Overrides{})
	all, err := whatif.NewSetUps(p.Unchanged, plan.Overrides{})
	require.NoError(t, err)
	v, err := contract.NewSetUps(p, all, "slow-kiln.mid", song)
	require.NoError(t, err)
	return v
}

// On paper every cable that is moved has a line, and so a box, of its own, with its name.
func TestRepatchHasABoxForEachCable(t *testing.T) {
	r := contract.NewRepatch(planOf(t, "rigs/full.yaml", plan.Overrides{}), 0, 1)
	var boxes []string
	for _, item := range (repatch{r, true}).steps() {
		boxes = append(boxes, item.Below...)
	}
	for _, cables := range [][]contract.RepatchCable{r.Pulls, r.Plugs} {
		for i := range cables {
			named := 0
			for _, line := range boxes {
				if strings.HasSuffix(line, " ("+cables[i].Cable+")") {
					named++
				}
			}
			require.Equal(t, 1, named, cables[i].Cable)
		}
	}
	require.Contains(t, boxes, "main gate 1 to K1.gate (gt1)")
	require.Contains(t, boxes, "K1.gate from multiple 4 out 1 (seq:gt1/1)")
}

// The headline names the wiring with the fewest moves where the rig has another: eight
// against forty in the full rig.
func TestRepatchNamesFewerMoves(t *testing.T) {
	r := repatch{contract.NewRepatch(planOf(t, "rigs/full.yaml", plan.Overrides{}), 0, 1), false}
	require.Equal(t, 40, r.Moves)
	require.Contains(t, r.summary(), ". 8 moves by common pitch jack and gate-OR, see Ways to wire the sequencer")
	r.Ways = r.Ways[1:]
	require.Empty(t, r.fewer())
}

// What to have at hand comes before the first cable is moved.
func TestRepatchTellsNeedsFirst(t *testing.T) {
	require.Equal(t, "1 multiple of 8 outs", multiples([]int{8}))
	require.Equal(t, "3 multiples (1 of 8 outs and 2 of 2)", multiples([]int{8, 2, 2}))
	r := repatch{&contract.Repatch{Moves: 1, Fetched: []int{8, 8}, Needs: contract.Needs{Multiples: 2, GateOrs: 1}, GateOrs: []string{"K"}}, false}
	steps := r.steps()
	require.Equal(t, "Have at hand 2 multiples of 8 outs and 1 gate-OR with a common input.", steps[0].Text)
	require.Equal(t, "If you have not yet: put 1 gate-OR between the gate jacks and bank K, two cables a voice. They stay in all set-ups, and do not count as moves here.", steps[1].Text)
}

// The star stands at the wiring that the rig has, also where no bank has a common
// pitch jack and pitches by group come to multiples.
func TestRepatchStarsTheWrittenWay(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte(`rig: Stage
interfaces: {main: {profile: cv8-gate8}}
sequencers: {seq: {parts: 1}}
banks: {K: {voices: 4}}
set_ups: {home: {from: main}, gig: {from: seq, parts: {1: K}, gates: or}}
`), nil)
	require.Empty(t, faults)
	p, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	var stars []string
	for _, w := range contract.NewRepatch(p, 0, 1).Ways {
		if w.Written {
			stars = append(stars, w.Pitches+" "+w.Gates)
		}
	}
	require.Equal(t, []string{"multiples or"}, stars)
}

// On the way to stage four gates go through multiples of four outs; on the way back none is plugged,
// so that none need be at hand. There are 49 cables from the interface and 24 more: 4 pitches,
// 4 gates and 16 ways on from multiples.
func TestWhatEachDirectionNeeds(t *testing.T) {
	p := planOf(t, "rigs/full.yaml", plan.Overrides{})
	require.Equal(t, []int{4, 4, 4, 4}, contract.NewRepatch(p, 0, 1).Fetched)
	require.Empty(t, contract.NewRepatch(p, 1, 0).Fetched)
	for _, item := range listOf(Repatch(contract.NewRepatch(p, 1, 0), Paper)).Items {
		require.NotContains(t, item.Text, "Have at hand")
	}
	m := contract.NewMap(p)
	require.Equal(t, "studio", m.SetUpShown())
	require.Equal(t, []string{"seq:gt1", "seq:gt2", "seq:gt3", "seq:gt4"}, m.SetUpMultiples())
	require.Equal(t, []string{"73 cables to buy for all set-ups, audio cables not counted.",
		"The list has the 49 of studio; 24 more are on the wiring schedule."}, newChart(m).cableCount())
}
