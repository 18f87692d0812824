package advise

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi/corpora"
	"choirloft/routing/plan"
)

// TestWhatIsBought: whole banks, with an interface where jacks end and a row where width
// does; what is short of inputs of the mixer is refused, and says so.
func TestWhatIsBought(t *testing.T) {
	notes := songOf(t, chords(1, 10, 9, 40, 600, 500))
	base := "rig: Full\ninterfaces: {main: {profile: cv16-gate16, cv: %d, gates: %d, window: 0 V to 10 V}}\nvoices: {plain: {release: 50 ms}}\nbanks: {K: {voices: 6, kind: plain%s}}\nparts: {one: {channel: 1}}\n%s"
	for _, c := range []struct {
		cv, gates        int
		bank, more       string
		interfaces, rows int
		refused          string
	}{
		{6, 16, "", "", 1, 0, ""}, {16, 6, "", "", 1, 0, ""}, {16, 16, "", "", 0, 0, ""}, {16, 16, ", row: 1, hp: 60", "rack: {hp: 84}\n", 0, 1, ""},
		{16, 16, "", "gear: {mixer: {inputs: 2}}\n", 0, 0, ""}, {16, 16, "", "gear: {mixer: {inputs: 1}}\n", 0, 0, "mixer inputs (0 free, 1 needed)"},
	} {
		s := session(t, fmt.Sprintf(base, c.cv, c.gates, c.bank, c.more), notes)
		a := find(t, Options{Work: 150 * s.TryWork(plan.Overrides{})}, s)
		require.Positive(t, a.Now.Cut)
		at := slices.IndexFunc(a.Fixes, func(x Fix) bool { return x.Effort == Buying })
		if c.refused != "" {
			require.Less(t, at, 0)
			require.Equal(t, c.refused, a.Bought.Refused[0].Refused[0].String())
			require.Zero(t, a.Bought.Tried)
			continue
		}
		x := &a.Fixes[at] // 9 notes at once on 6 voices: a bank of 6 more
		require.Equal(t, []int{1, c.interfaces, c.rows}, []int{x.Purchase.Banks, x.Purchase.Interfaces, x.Purchase.Rows}, "%+v", c)
		require.True(t, x.Clean())
		require.Zero(t, x.NoJack)
		require.Empty(t, a.Bought.Refused)
		sound(t, a, s)
	}
}

// TestFewestAfterTheBestSetting: on small racks the smallest purchase that helps after the
// best of the settings is what playing all of them says, and where none helps none is named.
func TestFewestAfterTheBestSetting(t *testing.T) {
	corpora.Patient(t)
	bought, none, needless := 0, 0, 0
	for seed := 0; seed < 24; seed += corpora.Some(5, 1) {
		parts := []string{"  one: {channel: 1, banks: [K]}\n  two: {channel: 2, banks: [L]}\n", "  one: {channel: 1, banks: [K], limit: 2}\n  two: {channel: 2}\n"}[seed%2]
		notes := append(chords(1, 6, 2+seed%4, 40, 400, 300+20*seed), chords(2, 5, 1+seed/4%4, 60, 500, 450)...)
		s := session(t, rigText(2, 1+seed%3, "80 ms", parts), songOf(t, notes))
		a := find(t, Options{Work: plenty}, s)
		if a.Now.Clean() || a.Bought.Needless {
			needless++
			continue
		}
		best := plan.Overrides{}
		if at := a.Bought.After; at >= 0 {
			best = a.Fixes[at].Overrides
		}
		after := tried{Figures: figures(t, s, best)}
		least := 0
		for n := 1; n <= 10 && least == 0; n++ {
			for _, like := range []string{"K", "L"} {
				o := best.With(plan.MustParse("--buy", fmt.Sprintf("%dx%s", n, like)))
				for i, v := range o.Banks {
					o.Banks[i].Value = v.Value.Beside(like, []string{"M", "N", "P", "Q", "R", "S", "T", "U", "V", "W"}[:n])
				}
				if u := (tried{Figures: figures(t, s, o)}); u.helpsOver(&after.Figures) {
					least = n
				}
			}
		}
		if fewest := a.Bought.Fewest; fewest == nil {
			none++
			require.Zero(t, least, "seed %d", seed)
		} else {
			bought++
			require.Equal(t, least, fewest.Banks, "seed %d", seed)
		}
	}
	t.Logf("%d with a purchase that helps, %d with none, %d where nothing is left", bought, none, needless)
	require.Positive(t, bought)
	require.Positive(t, needless)
}
