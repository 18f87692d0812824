package say

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
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
// flags finds: voices without a jack, notes at the wrong pitch, notes and tails cut.
func TestFixesSayWhatTheyLeave(t *testing.T) {
	song := songOf(t, "slow-kiln.mid")
	for file, says := range map[string]string{"kiln-yard.yaml": "5 voices more (24), with 1 voice without a jack",
		"rigs/own-zero-key.yaml": "5 voices more (24), with 5 notes more at the wrong pitch"} {
		_, r := sizeOf(t, file, plan.Overrides{}, song, "slow-kiln.mid", false)
		found := false
		for i := range r.Fixes {
			f := &r.Fixes[i]
			if f.Changes[0].Kind != "voices" || f.Changes[0].More != 5 {
				continue
			}
			found = true
			require.Equal(t, says, size{r}.fixText(f))
			again := played(t, planOf(t, file, plan.Overrides{More: plan.All(5)}), song)
			require.Equal(t, contract.Wrong{WrongPitches: again.WrongPitches(), Unplayed: again.Flags.Unmapped, NoJack: len(again.NoJack)}, f.Leaves)
			require.Equal(t, again.Damaged, f.After.Damaged)
		}
		require.True(t, found, file)
		if r.WrongNotes() > 0 {
			top, more := size{r}.advice()
			require.NotContains(t, strings.Join(append(top, more...), " "), "nothing is lost")
		}
	}
}

// TestNoFixMakesItWorse: on one jack another picking rule cuts 70 notes instead of
// 69, and fewer tails; it is not offered. No fix that is leaves more notes cut
// or dropped, more seconds lost, more tails cut or a louder one, in that order.
func TestNoFixMakesItWorse(t *testing.T) {
	_, r := sizeOf(t, "rigs/one-jack.yaml", plan.Overrides{}, songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
	require.Equal(t, 69, r.Now.Damaged)
	for i := range r.Fixes {
		f := &r.Fixes[i]
		require.LessOrEqual(t, f.After.Damaged, r.Now.Damaged, f.Flags)
		if f.After.Damaged == r.Now.Damaged {
			require.LessOrEqual(t, f.After.LostGateS, r.Now.LostGateS, f.Flags)
		}
	}
}

// TestRecordingsNameTheirCommand: replay knows no recordings.
func TestRecordingsNameTheirCommand(t *testing.T) {
	_, r := sizeOf(t, "kiln-yard.yaml", eightVoices(), songOf(t, "slow-kiln.mid"), "slow-kiln.mid", false)
	text := textOf(t, Size(&contract.Size{SizeResult: *r}, Paper), 120)
	require.Contains(t, text, "2 recordings to mix: write --passes 2")
	require.Contains(t, text, "replay with its flags, or what else is named, says the same")
}
