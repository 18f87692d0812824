package cables

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing"
)

func mapOf(t *testing.T, text string) *routing.Map {
	rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+text), nil)
	require.Empty(t, faults)
	return routing.NewMap(rig)
}

// 1.25·√(dx² + dy²) + 60 mm, rounded up to stock: common practice.
func TestLength(t *testing.T) {
	require.InDelta(t, 60, Length(0, 0), 1e-12)
	require.InDelta(t, 1.25*500+60, Length(300, 400), 1e-12) // 3-4-5
	for length, want := range map[float64]int{60: 15, 150: 15, 150.1: 30, 300: 30, 450.1: 60, 600.1: 90, 900.1: 120, 1200.1: 150, 1500: 150, 1500.1: 0} {
		require.Equal(t, want, inStock(length), "%g mm", length)
	}
}

const twoRows = `
interfaces: {main: {profile: cv8-gate8, row: 2, hp: 20}}
banks: {K: {voices: 2, row: 1, hp: 40, lanes: [cutoff]}, L: {voices: 1, row: 2, hp: 10}}
macros: {bite: {from: CC 74 on 16, to: [K.level, L.level]}}
`

// Written out, in HP of 5.08 mm: main's middle is at 10 of row 2; K's voices at
// 10 and 30 of row 1, its middle at 20; L's voice at 20 + 5 of row 2.
func TestList(t *testing.T) {
	got := map[string]Cable{}
	for _, c := range List(mapOf(t, twoRows)) {
		got[c.From+" > "+c.To] = c
	}
	require.InDelta(t, 1.25*133.35+60, got["main cv 1 > K1.pitch"].Length, 1e-9) // right above
	require.Equal(t, 30, got["main cv 1 > K1.pitch"].Stock)                      // 226.7 mm
	require.InDelta(t, Length(20*5.08, 133.35), got["main cv 2 > K2.pitch"].Length, 1e-9)
	require.InDelta(t, Length(15*5.08, 0), got["main cv 3 > L1.pitch"].Length, 1e-9)
	require.InDelta(t, Length(10*5.08, 133.35), got["main cv 8 > K.cutoff"].Length, 1e-9)
	require.Equal(t, Lane, got["main cv 8 > K.cutoff"].Purpose)
	require.Equal(t, Gate, got["main gate 1 > K1.gate"].Purpose)
	require.Equal(t, Macro, got["multiple at main cv 7 > K.level"].Purpose)
	require.Equal(t, 15, got["main cv 7 > multiple at main cv 7"].Stock)
	require.Len(t, got, 3+3+1+3)
}

func TestBuy(t *testing.T) {
	m := mapOf(t, twoRows)
	list := List(m)
	for _, lots := range [][]Lot{Buy(list), BuyColours(m.Rig, list)} {
		total := 0
		for i, l := range lots {
			total += l.Count
			if i > 0 {
				require.GreaterOrEqual(t, l.Stock, lots[i-1].Stock)
			}
		}
		require.Equal(t, 10, total)
	}
	count := map[profiles.Colour]int{}
	for _, l := range BuyColours(m.Rig, list) {
		count[l.Colour] += l.Count
	}
	// K: two voices, its cutoff, its level. L: one voice and its level. To the multiple
	// of both: one of no colour.
	require.Equal(t, map[profiles.Colour]int{profiles.Brown: 6, profiles.Red: 3, NoColour: 1}, count)
}

// The colours of banks are those of the digits 1 to 9 and 0 on resistors (IEC
// 60062:2016, table 1; from memory), and whatever a cable carries it has that of
// its bank.
func TestColourTellsTheBank(t *testing.T) {
	digits := []string{"brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white", "black"}
	var banks strings.Builder
	for i := range 11 {
		fmt.Fprintf(&banks, "X%c: {voices: 1, lanes: [cutoff]}, ", 'a'+i)
	}
	rig := mapOf(t, "interfaces: {main: {profile: cv32-gate32}}\nbanks: {"+banks.String()+"Y: {voices: 1, colour: white}}\nmacros: {m: {from: CC 1 on 16, to: [Xa.level, Xb.level]}}\n")
	colours, purposes := map[int]map[string]bool{}, map[int]map[Purpose]bool{}
	for _, c := range List(rig) {
		if c.Bank < 0 {
			require.Equal(t, NoColour, c.Colour(rig.Rig))
			require.True(t, strings.HasPrefix(c.To, "multiple"), c.To)
			continue
		}
		if colours[c.Bank] == nil {
			colours[c.Bank], purposes[c.Bank] = map[string]bool{}, map[Purpose]bool{}
		}
		colours[c.Bank][c.Colour(rig.Rig).String()] = true
		purposes[c.Bank][c.Purpose] = true
	}
	for bank := range 11 {
		require.Equal(t, map[string]bool{digits[bank%10]: true}, colours[bank])
	}
	require.Equal(t, map[string]bool{"white": true}, colours[11], "the rig says otherwise")
	require.Len(t, purposes[0], 4, "pitch, gate, control and macro of one bank")
}

// ⌈5/4⌉ + 1 = 3 multiples take a cable each, and the inputs one each.
func TestTreesTakeACableEach(t *testing.T) {
	list := List(mapOf(t, "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 5}}\nwiring: [{from: main.cv 1, through: buffered 4, to: K.pitch}]\n"))
	require.Len(t, list, 3+5+5)
	for _, c := range list {
		require.Zero(t, c.Length) // nothing says where anything stands
		require.Zero(t, c.Stock)
	}
	require.Equal(t, []Lot{{Purpose: Pitch, Count: 8}, {Purpose: Gate, Count: 5}}, Buy(list))
}

// What stands right of something of unknown width is nowhere, and so is what has
// no row.
func TestUnknownPlaces(t *testing.T) {
	list := List(mapOf(t, `
interfaces: {main: {profile: cv8-gate8, row: 1, hp: 10}}
banks: {K: {voices: 1, row: 1}, L: {voices: 1, row: 1, hp: 10}, M: {voices: 1, hp: 10}}
`))
	for _, c := range list {
		require.Zero(t, c.Length, c.To)
	}
}

// Ten rows apart is longer than any cable in stock: 1.25·9·133.35 + 60 = 1560 mm.
func TestLongerThanStock(t *testing.T) {
	list := List(mapOf(t, "interfaces: {main: {profile: cv8-gate8, row: 1, hp: 10}}\nbanks: {K: {voices: 1, row: 10, hp: 10}}\n"))
	require.Equal(t, []Lot{{Purpose: Pitch, Long: true, Count: 1}, {Purpose: Gate, Long: true, Count: 1}}, Buy(list))
	require.InDelta(t, 1560.1875, list[0].Length, 1e-9)
}

// The demo, counted by hand: 20 pitch, 20 gates, 5 cutoffs, and three macros of 5, 2
// and 3 inputs with a cable to their multiple.
func TestDemo(t *testing.T) {
	rig, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	list := List(routing.NewMap(rig))
	count := map[Purpose]int{}
	for _, c := range list {
		count[c.Purpose]++
		require.NotZero(t, c.Stock, c.To)
	}
	require.Equal(t, map[Purpose]int{Pitch: 20, Gate: 20, Lane: 5, Macro: 3 + 10}, count)
	// main's middle is at 15 HP of row 6, K1 at 11 of row 1: 20.32 and 666.75 mm
	require.InDelta(t, Length(20.32, 666.75), list[0].Length, 1e-9)
	require.Equal(t, 90, list[0].Stock)
}

// A module stands where the rig says, and the cable behind an adder is one, by
// however many jacks it is driven: two into it, one out of it.
func TestCablesThroughModules(t *testing.T) {
	list := List(mapOf(t, `
interfaces: {main: {profile: cv8-gate8, row: 1, hp: 20}}
banks: {K: {voices: 1, row: 1, hp: 20}}
gear: {sum: {does: adder, row: 1, hp: 10}}
wiring: [{from: main.cv 7, to: sum}, {from: main.cv 8, to: sum}, {from: sum, to: K.cutoff}]
`))
	got := map[string]float64{}
	for _, c := range list {
		got[c.From+" > "+c.To] = c.Length
	}
	require.Len(t, list, 2+3)
	require.InDelta(t, Length(35*5.08, 0), got["main cv 7 > sum"], 1e-9) // 10 and 45 HP from the left
	require.InDelta(t, Length(35*5.08, 0), got["main cv 8 > sum"], 1e-9)
	require.InDelta(t, Length(15*5.08, 0), got["sum > K.cutoff"], 1e-9) // 30 HP
}

// Names are those of the jacks, on the first interface without its name.
func TestNames(t *testing.T) {
	names := func(text string) map[string]string {
		got := map[string]string{}
		for _, c := range List(mapOf(t, text)) {
			got[c.From+" > "+c.To] = c.Name
		}
		return got
	}
	got := names(twoRows)
	require.Equal(t, "cv1", got["main cv 1 > K1.pitch"])
	require.Equal(t, "gt2", got["main gate 2 > K2.gate"])
	require.Equal(t, "cv7", got["main cv 7 > multiple at main cv 7"])
	require.Equal(t, "cv7/2", got["multiple at main cv 7 > L.level"])
	unique := map[string]bool{}
	for _, n := range got {
		require.False(t, unique[n], n)
		unique[n] = true
	}
	larger := names(strings.Replace(twoRows, "B: {voices: 1", "B: {voices: 3", 1)) // growth renames no cable
	for cable, n := range got {
		require.Equal(t, n, larger[cable], cable)
	}
	more := names("interfaces: {main: {profile: cv8-gate8, cv: 1}, second: {profile: cv8-gate8}}\nbanks: {K: {voices: 1}, L: {voices: 1}}\n")
	require.Equal(t, "second:cv1", more["second cv 1 > L1.pitch"])
	require.Equal(t, []string{"cv12", "cv12b", "cv12c", "cv12/1"}, []string{Beside("cv12", 1), Beside("cv12", 2), Beside("cv12", 3), OnFrom("cv12", 1)})
	require.Equal(t, []string{"a", "z", "aa", "ab"}, []string{letters(1), letters(26), letters(27), letters(28)})
}

// A wire behind the panels takes no cable; what is plugged into its jack does.
func TestANormalTakesNoCable(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 2}, L: {voices: 1}}\nwiring:\n  - {from: main.cv 1, to: K.pitch, normal: %s}\n  - {from: main.cv 1, to: L1.pitch}\n"
	names := func(normal string) (all []string) {
		for _, c := range List(mapOf(t, fmt.Sprintf(rig, normal))) {
			if c.Purpose == Pitch {
				all = append(all, c.Name+" "+c.To)
			}
		}
		return all
	}
	require.Equal(t, []string{"cv1 L1.pitch"}, names("half"))
	require.Equal(t, []string{"cv1 L1.pitch", "cv2 K1.pitch", "cv3 K2.pitch"}, names("full"))
	require.Empty(t, BuyMultiples(mapOf(t, fmt.Sprintf(rig, "half"))))
}
