package say

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi/corpora"
	"choirloft/routing/plan"
)

// TestCostHidesNothing: whatever is not cut, what plays wrong is said beside it.
func TestCostHidesNothing(t *testing.T) {
	require.Equal(t, "nothing is lost", costWords(&contract.Cost{}, &contract.Wrong{}))
	require.Equal(t, "no note or tail is cut; 24 still at the wrong pitch, 812 unplayed, 1 voice without a jack",
		costWords(&contract.Cost{}, &contract.Wrong{WrongPitches: 24, Unplayed: 812, NoJack: 1}))
	require.Equal(t, "no note cut short or dropped, 2 tails cut, the loudest at -; 5 still at the wrong pitch",
		costWords(&contract.Cost{TailCuts: 2}, &contract.Wrong{WrongPitches: 5}))
}

// TestFixesSayWhatTheyLeave: what stands beside a fix is what a replay with its
// flags finds: voices without a jack, notes at the wrong pitch, notes and tails cut. None
// buys a voice that no jack is left for.
func TestFixesSayWhatTheyLeave(t *testing.T) {
	song := songOf(t, "slow-kiln.mid")
	for _, file := range []string{"kiln-yard.yaml", "rigs/own-zero-key.yaml"}[:corpora.Some(1, 2)] {
		o := plan.MustParse("--voices", "10")
		_, r := sizeOf(t, file, o, song, "slow-kiln.mid", false)
		require.NotEmpty(t, r.Fixes)
		for i := range r.Fixes {
			f := &r.Fixes[i]
			require.LessOrEqual(t, f.Leaves.NoJack, len(r.NoJack))
			if f.Command == writing {
				continue
			}
			top, err := plan.ParseFlags(f.Flags)
			require.NoError(t, err)
			again := played(t, planOf(t, file, o.With(top)), song)
			require.Equal(t, contract.Wrong{WrongPitches: again.WrongPitches(), Unplayed: again.Flags.Unmapped, NoJack: len(again.NoJack)}, f.Leaves)
			require.Equal(t, again.Damaged, f.After.Damaged)
		}
		if r.WrongNotes() > 0 {
			top, more, _ := size{r}.advice()
			require.NotContains(t, strings.Join(append(top, more...), " "), "nothing is lost")
		}
	}
}

// TestNoFixHidesWhatItMakesWorse: a fix that leaves more notes cut short or dropped, or more
// seconds lost, says so and by how much, and is not the first.
func TestNoFixHidesWhatItMakesWorse(t *testing.T) {
	_, r := sizeOf(t, "rigs/one-jack.yaml", plan.Overrides{}, songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
	require.Equal(t, 152, r.Now.Damaged) // four voices on one pitch jack are one
	for i := range r.Fixes {
		f := &r.Fixes[i]
		costs := map[string]float64{}
		for _, c := range f.Costs {
			costs[c.What] = c.By
		}
		more := func(what string, by int) {
			require.EqualValues(t, max(0, by), costs[what], f.Flags)
		}
		more("cut", f.Changed.Cut-r.Now.Cut())
		more("dropped", f.Changed.Dropped-r.Now.Dropped)
		if i == 0 {
			require.Empty(t, f.Costs)
		} else if len(f.Costs) > 0 {
			require.Contains(t, size{r}.costsLine([]int{i}), fmt.Sprintf("fix %d, ", f.Number))
		}
	}
}

// TestRecordingsNameTheirCommand: replay knows no recordings.
func TestRecordingsNameTheirCommand(t *testing.T) {
	_, r := sizeOf(t, "kiln-yard.yaml", eightVoices(), songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
	text := textOf(t, Size(&contract.Size{SizeResult: *r}, Paper), 120)
	require.Contains(t, text, "2 recordings to mix: write --passes 2")
	require.Contains(t, strings.Join(strings.Fields(text), " "), "run replay with its flags, or the command it names.")
}

// What a fix leaves is said in seconds beside what there is now: of more losses each may be
// heard less. Where nothing is heard then or now it is said as a run is.
func TestFixBesideNow(t *testing.T) {
	missing := func(heard, plain float64) *contract.Missing { return &contract.Missing{HeardS: heard, PlainS: plain} }
	s := size{&contract.SizeResult{Now: contract.Cost{Missing: missing(9, 4)}, WrongPitch: []contract.WrongPitch{{Part: "bass", Notes: 24}}}}
	f := &contract.Fix{After: contract.Cost{Damaged: 2, LostGateS: 0.5, Missing: missing(8, 3), Heard: &contract.HeardAfter{Plain: 30, Faint: 60}}}
	f.Leaves.WrongPitches = 24
	require.Contains(t, s.leaves(f), ", 3.00 s plainly missing (now 4.00 s); 24 still at the wrong pitch")
	f.Leaves.WrongPitches = 0
	require.Contains(t, s.leaves(f), "(now 4.00 s); none at the wrong pitch")
	f.After.Missing = missing(8, 0)
	require.Contains(t, s.leaves(f), "nothing plainly missing (now 4.00 s), 8.00 s heard at all (now 9.00 s)")
	s.Now.Missing = missing(9, 0)
	require.Contains(t, s.leaves(f), "8.00 s faintly missing (now 9.00 s)")
	f.After.Missing = missing(8, 1)
	require.Contains(t, s.leaves(f), "1.00 s plainly missing (now none)")
	f.After.Missing = missing(0, 0)
	require.Equal(t, costWords(&f.After, &f.Leaves), s.leaves(f))
}
