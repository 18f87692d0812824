package growth

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/profiles"
	"choirloft/routing"
)

func read(t require.TestingT, text string) *routing.Map {
	rig, faults := profiles.Read("test.yaml", []byte("rig: R\n"+text), nil)
	require.Empty(t, faults)
	return routing.NewMap(rig)
}

// banks are the limits by resource, −1 for what is not known.
func banks(g *Growth) map[string]int {
	all := map[string]int{}
	for _, l := range g.Limits {
		all[l.Resource.String()] = l.Banks
		if l.Unknown {
			all[l.Resource.String()] = -1
		}
	}
	return all
}

// By hand on the demo: 4 CVs are free of which a bank takes 5; 12
// gates and 32 − 20 channels, of which it takes 4. Three quarters of 3 A are
// 2250 mA: +12 of one bears 1350 and two 1340, so 2 banks of 380 each. Rows 1–5
// have 104 − 88 HP, and row 6 24.
func TestTheDemo(t *testing.T) {
	rig, err := profiles.Load("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	g := New(routing.NewMap(rig))
	require.Equal(t, map[string]int{"CV jacks": 0, "gate jacks": 3, "MIDI channels": 3, "outputs of multiples": -1, "mixer inputs": -1,
		"current": 4, "width": 0}, banks(g))
	require.Equal(t, 4, g.Like)
	var first []Resource
	for _, l := range g.First() {
		first = append(first, l.Resource)
	}
	require.Equal(t, []Resource{CVs, Width}, first)
	require.Equal(t, "4 free, a bank takes 5", g.Limits[0].Basis)
	require.Equal(t, "one cutoff for all banks, by a multiple at main cv 32", g.Steps[0].Text) // 24 + 1 + 3 of 32
}

// Both sides of each limit: what is just enough, and one less.
func TestBothSidesOfEachLimit(t *testing.T) {
	const rig = "interfaces: {main: {cv: %d, gates: %d, ports: %d, hp: 10, row: 1}}\n" +
		"banks: {K: {voices: 4, lanes: [cutoff], row: 1, hp: 20, ma: {+12: 100, -12: 50}}}\n" +
		"gear: {mixer: {inputs: %d}}\nsupplies: {one: {+12: %d mA, -12: 1 A, feeds: [K]}}\nrack: {hp: %d}\n"
	// a bank more: 10 CVs, 8 gates, 8 channels (16 a port), 2 inputs, 200 of 267 mA, 50 HP
	for _, row := range []struct {
		what string
		with [6]int
		want int
	}{
		{"CV jacks", [6]int{10, 99, 1, 9, 9999, 999}, 1}, {"CV jacks", [6]int{9, 99, 1, 9, 9999, 999}, 0},
		{"gate jacks", [6]int{99, 8, 1, 9, 9999, 999}, 1}, {"gate jacks", [6]int{99, 7, 1, 9, 9999, 999}, 0},
		{"MIDI channels", [6]int{99, 99, 1, 9, 9999, 999}, 3}, {"MIDI channels", [6]int{99, 99, 2, 9, 9999, 999}, 7},
		{"mixer inputs", [6]int{99, 99, 1, 2, 9999, 999}, 1}, {"mixer inputs", [6]int{99, 99, 1, 1, 9999, 999}, 0},
		{"current", [6]int{99, 99, 1, 9, 267, 999}, 1}, {"current", [6]int{99, 99, 1, 9, 266, 999}, 0},
		{"width", [6]int{99, 99, 1, 9, 9999, 50}, 1}, {"width", [6]int{99, 99, 1, 9, 9999, 49}, 0},
	} {
		w := row.with
		g := New(read(t, fmt.Sprintf(rig, w[0], w[1], w[2], w[3], w[4], w[5])))
		require.Equal(t, row.want, banks(g)[row.what], "%s %v", row.what, w)
	}
}

// A buffered multiple with four outputs feeds two banks: two are free, one of
// five has three. Linked ones have 2·4 − 1 = 7 for 6.
func TestOutputsOfMultiples(t *testing.T) {
	const rig = "interfaces: {main: {profile: cv32-gate32}}\nbanks: {K: {voices: 1}, L: {voices: 1}, M: {voices: 1}}\n" +
		"wiring: [{from: main.cv 32, through: buffered %d, to: [%s]}]\n"
	require.Equal(t, 2, banks(New(read(t, fmt.Sprintf(rig, 4, "L.cutoff, M.cutoff"))))["outputs of multiples"])
	require.Equal(t, 1, banks(New(read(t, fmt.Sprintf(rig, 3, "L.cutoff, M.cutoff"))))["outputs of multiples"])
	require.Equal(t, 0, banks(New(read(t, fmt.Sprintf(rig, 2, "L.cutoff, M.cutoff"))))["outputs of multiples"])
	require.Equal(t, -1, banks(New(read(t, fmt.Sprintf(rig, 4, "K.cutoff, L.cutoff"))))["outputs of multiples"]) // C has none of it
}

func TestWhatIsNotSaidIsNotGuessed(t *testing.T) {
	require.Equal(t, map[string]int{"CV jacks": -1, "MIDI channels": -1, "outputs of multiples": -1, "mixer inputs": -1, "current": -1, "width": -1},
		banks(New(read(t, "banks: {K: {voices: 1}}\n"))))
	require.Empty(t, New(read(t, "banks: {K: {voices: 1}}\n")).First())
	either := New(read(t, "interfaces: {dc: {profile: audio-dc8}}\nbanks: {K: {voices: 2}}\n"))
	require.Equal(t, 1, banks(either)["jacks"])
	require.Equal(t, -1, banks(either)["MIDI channels"])
}

// The limits of jacks are those of the packer: with as many banks nothing more
// is lacking, with one more something is, where either jacks or gates end.
func TestJacksAgainstThePacker(t *testing.T) {
	ended := 0
	rapid.Check(t, func(t *rapid.T) {
		m := read(t, fmt.Sprintf("interfaces: {main: {cv: %d, gates: %d}}\nvoices: {k: {inputs: [%s]}}\nbanks: {K: {voices: %d}, L: {voices: %d, kind: k, lanes: [level]}}\n",
			rapid.IntRange(1, 40).Draw(t, "cvs"), rapid.IntRange(1, 40).Draw(t, "gates"),
			strings.Join(rapid.SampledFrom([][]string{{"pitch", "gate"}, {"pitch", "gate", "velocity"}, {"gate", "pitch", "velocity", "cutoff"}}).Draw(t, "inputs"), ", "),
			rapid.IntRange(1, 6).Draw(t, "K"), rapid.IntRange(1, 6).Draw(t, "L")))
		g := New(m)
		fits := min(banks(g)["CV jacks"], banks(g)["gate jacks"])
		now := routing.Lacks(m.Rig).Jacks
		require.Equal(t, len(m.Missing), now)
		rig := m.Rig
		for range fits {
			rig = rig.Grown(m.Rig.Banks[1].Size, nil)
		}
		require.Equal(t, now, routing.Lacks(rig).Jacks)
		if fits < Most {
			ended++
			require.Greater(t, routing.Lacks(rig.Grown(m.Rig.Banks[1].Size, nil)).Jacks, now)
		}
	})
	require.Positive(t, ended)
}
