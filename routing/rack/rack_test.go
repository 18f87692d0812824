package rack

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/profiles"
	"choirloft/routing"
)

func read(t require.TestingT, text string) *profiles.Rig {
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	return rig
}

func load(t *testing.T, path string) *profiles.Rig {
	rig, err := profiles.Load("../../testdata/" + path)
	require.NoError(t, err)
	return rig
}

func codes(s *Sheet) (all []routing.Code) {
	for _, f := range s.Findings {
		all = append(all, f.Code)
	}
	return all
}

// The demo, added up by hand: 2690 and 2015 mA in all; on one supply of 3 A +12 is over
// 75 % (2250) and -12 is not; two such supplies, A–C and the mixer, and D–E,
// interface and effects, bear it: 3·380 + 210 = 1350 mA, 45 %.
func TestTheDemoOnOneSupply(t *testing.T) {
	rig := load(t, "rigs/one-supply.yaml")
	s := New(rig)
	require.Equal(t, []routing.Code{routing.SupplyTight}, codes(s))
	f := s.Findings[0]
	require.Equal(t, "modules draw 2690 mA from +12 V of supply one: 89.7 % of 3000 mA; 75 % are 2250 mA", f.Text)
	require.Equal(t, "this split carries it, at 45 % at most: one: K, L, M, mixer; one more like one: main, N, P, effects", f.Hint)
	require.InDelta(t, 2690, *f.Value, 1e-9)
	require.InDelta(t, 2.015, float64(s.Supplies[0].Rails[1].Drawn), 1e-12)
	split, _ := s.Bear(rig, 0)
	require.True(t, split.Proven)
}

func TestTheDemoOnTwoSupplies(t *testing.T) {
	s := New(load(t, "kiln-yard.yaml"))
	require.Empty(t, s.Findings)
	require.InDelta(t, 1.350, float64(s.Supplies[0].Rails[0].Drawn), 1e-12) // 3·380 + 210
	require.InDelta(t, 1.225, float64(s.Supplies[0].Rails[1].Drawn), 1e-12) // 3·345 + 190
	require.InDelta(t, 1.340, float64(s.Supplies[1].Rails[0].Drawn), 1e-12) // 2·380 + 320 + 260
	require.InDelta(t, 0.790, float64(s.Supplies[1].Rails[1].Drawn), 1e-12) // 2·345 + 60 + 40
	require.Len(t, s.Rows, 6)
	last := s.Rows[5]
	require.Equal(t, []string{"main", "mixer", "effects"}, s.names(last.Modules))
	require.Equal(t, 80, last.HP)                                        // 30 + 30 + 20
	require.InDelta(t, 0.790, float64(last.Current.On(12)), 1e-12)       // 320 + 210 + 260
	require.InDelta(t, 0.380, float64(s.Rows[0].Current.On(12)), 1e-12)  // a bank
	require.InDelta(t, 0.290, float64(s.Rows[5].Current.On(-12)), 1e-12) // 60 + 190 + 40
}

// Either side of each threshold.
func TestFindings(t *testing.T) {
	const bank = "banks: {K: {voices: 1, row: 1, hp: 50, ma: {+12: %s}}, L: {voices: 1, row: 1, hp: %s}}\nsupplies: {one: {+12: 1 A, feeds: [%s]}}\n"
	for name, c := range map[string]struct {
		rig  string
		want []routing.Code
		text string
	}{
		"at 75 %":         {fmt.Sprintf(bank, "750", "10", "K"), nil, ""},
		"over 75 %":       {fmt.Sprintf(bank, "751", "10", "K"), []routing.Code{routing.SupplyTight}, "modules draw 751 mA from +12 V of supply one: 75.1 % of 1000 mA; 75 % are 750 mA"},
		"at the rating":   {fmt.Sprintf(bank, "1000", "10", "K"), []routing.Code{routing.SupplyTight}, "modules draw 1000 mA from +12 V of supply one: 100.0 % of 1000 mA; 75 % are 750 mA"},
		"over the rating": {fmt.Sprintf(bank, "1001", "10", "K"), []routing.Code{routing.SupplyOverloaded}, "modules draw 1001 mA from +12 V of supply one: 100.1 % of 1000 mA; 75 % are 750 mA"},
		"not said":        {fmt.Sprintf(bank, "10", "10", "K, L"), []routing.Code{routing.DrawUnknown}, "the draw of L is not given, so it counts as nothing"},
		"no rail": {"banks: {K: {voices: 1, ma: {-12: 5}}}\nsupplies: {one: {+12: 1 A, feeds: [K]}}\n",
			[]routing.Code{routing.RailMissing}, "modules draw 5 mA from -12 V of supply one, which has no such rail"},
		"on no supply": {"banks: {K: {voices: 1, ma: {+12: 5}}}\ngear: {x: {ma: {+12: 5}}}\nsupplies: {one: {+12: 1 A, feeds: [K]}}\n",
			[]routing.Code{routing.NotFed}, "x draws current, and no supply feeds it"},
		"no supplies at all": {"banks: {K: {voices: 1, ma: {+12: 5}}}\n", nil, ""},
		"a full row":         {fmt.Sprintf(bank, "10", "54", "K"), nil, ""},
		"a row too wide":     {fmt.Sprintf(bank, "10", "55", "K"), []routing.Code{routing.RowTooWide}, "row 1 holds 105 HP (K, L), and the rack has 104"},
	} {
		t.Run(name, func(t *testing.T) {
			s := New(read(t, c.rig))
			require.Equal(t, c.want, codes(s))
			if len(c.want) > 0 {
				require.Equal(t, c.text, s.Findings[0].Text)
				require.False(t, s.Findings[0].Pos.IsZero())
				require.NotEmpty(t, s.Findings[0].Hint)
			}
		})
	}
}

// Two supplies, the first with too much: B alone must move, since A would be
// too much for the second.
func TestMovesAsLittleAsItCan(t *testing.T) {
	rig := read(t, "banks: {K: {voices: 1, ma: {+12: 700}}, L: {voices: 1, ma: {+12: 100}}, M: {voices: 1, ma: {+12: 200}}, N: {voices: 1, ma: {+12: 10}}}\n"+
		"supplies: {one: {+12: 1 A, feeds: [K, L, N]}, two: {+12: 1 A, feeds: [M]}}\n")
	s := New(rig)
	split, _ := s.Bear(rig, 0)
	require.Equal(t, []string{"L"}, s.names(split.Moved))
	require.InDelta(t, 0.71, split.Share, 1e-12)
	require.True(t, split.Proven)
}

// That there is no split is said only where there is none, and why: 800 mA alone are
// over 75 % of any ampere there; no supply has −12 V; 9 modules of 700 mA need nine
// supplies, one more than are tried. 24 unlike modules on two supplies, of which two
// rails get in each other's way, are more than can be tried: that is said instead.
func TestNoSplitIsSaidOnlyWhereThereIsNone(t *testing.T) {
	nine := "banks: {"
	for i := range 9 {
		nine += fmt.Sprintf("%c: {voices: 1, ma: {+12: %d}}, ", 'K'+i, 700+i)
	}
	many := "banks: {"
	for i := range 12 {
		many += fmt.Sprintf("%c: {voices: 1, ma: {+12: %d}}, %c: {voices: 1, ma: {-12: %d}}, ", 'a'+i, 501+i, 'm'+i, 501+i)
	}
	for rig, want := range map[string]string{
		"banks: {K: {voices: 1, ma: {+12: 800}}, L: {voices: 1, ma: {+12: 10}}}\nsupplies: {one: {+12: 1 A, feeds: [K, L]}}\n":                           "K draws too much from +12 V for any supply alone: no split bears that",
		"banks: {K: {voices: 1, ma: {+12: 800}}, L: {voices: 1, ma: {-12: 10}}}\nsupplies: {one: {+12: 1 A, feeds: [K]}, two: {+12: 1 A, feeds: [L]}}\n": "no supply has a rail of -12 V, from which L draws: no split bears that",
		nine + "}\nsupplies: {one: {+12: 1 A, feeds: [K, L, M, N, O, P, Q, R, S]}}\n":                                                                    "no split over up to 8 such supplies bears it",
		many + "}\nsupplies: {one: {+12: 1 A, -12: 1 A, feeds: [a, b, c, d, e, f, g, h, i, j, k, l, m, n, o, p, q, r, s, t, u, v, w, x]}}\n":             "none of 100000 splits over up to 8 such supplies bears it; there may be another",
	} {
		s := New(read(t, rig))
		var hints []string
		for _, f := range s.Findings {
			if f.Code == routing.SupplyTight || f.Code == routing.SupplyOverloaded {
				hints = append(hints, f.Hint)
			}
		}
		require.Contains(t, strings.Join(hints, "\n"), want)
	}
}

// brute tries every split over so many supplies alike: the lowest share of the
// fullest rail.
func brute(currents [][2]int, supplies int, rating float64) float64 {
	best := math.Inf(1)
	for code := range int(math.Pow(float64(supplies), float64(len(currents)))) {
		var drawn [8][2]float64
		for _, c := range currents {
			at := code % supplies
			code /= supplies
			drawn[at][0] += float64(c[0])
			drawn[at][1] += float64(c[1])
		}
		worst := 0.0
		for _, d := range drawn {
			worst = max(worst, d[0]/rating, d[1]/rating)
		}
		best = min(best, worst)
	}
	return best
}

// The search finds what trying every split finds: how many supplies it takes,
// and how low the fullest rail can be.
func TestSplitAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "modules")
		var currents [][2]int
		var banks, names []string
		for i := range n {
			c := [2]int{100 * rapid.IntRange(0, 7).Draw(t, "+12"), 100 * rapid.IntRange(1, 7).Draw(t, "-12")}
			currents = append(currents, c)
			name := string(rune('A' + i))
			names = append(names, name)
			banks = append(banks, fmt.Sprintf("%s: {voices: 1, ma: {+12: %d, -12: %d}}", name, c[0], c[1]))
		}
		rig := read(t, "banks: {"+strings.Join(banks, ", ")+"}\nsupplies: {one: {+12: 1 A, -12: 1 A, feeds: ["+strings.Join(names, ", ")+"]}}\n")
		s := New(rig)
		split, _ := s.Bear(rig, 0)
		for supplies := 1; supplies <= 5; supplies++ {
			if best := brute(currents, supplies, 1000); best <= MostShare+1e-9 {
				require.NotNil(t, split)
				require.Len(t, split.Ratings, supplies)
				require.InDelta(t, best, split.Share, 1e-9)
				return
			}
		}
	})
}
