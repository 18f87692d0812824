package setups

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/cables"
)

// drawWild draws rigs that are read without faults and patched in odd ways:
// short of jacks, with lanes for the pitches and gates of whole banks, macros on
// pitches, wires from anywhere to anywhere, pins, modules.
func drawWild(t *rapid.T) *routing.Map {
	pick := func(what string, from ...string) string { return rapid.SampledFrom(from).Draw(t, what) }
	banks := []string{"K", "L", "M"}
	target := func() string {
		of := pick("of", "K", "L", "M", "K1", "K2", "L1")
		return of + "." + pick("input", "pitch", "gate", "cutoff")
	}
	targets := func() string {
		var all []string
		for range rapid.IntRange(1, 3).Draw(t, "targets") {
			if x := target(); !strings.Contains(strings.Join(all, " ")+" ", x+" ") {
				all = append(all, x)
			}
		}
		return "[" + strings.Join(all, ", ") + "]"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "rig: R\ninterfaces: {main: {profile: %s, window: %s}, two: {profile: %s}}\n", pick("main", "cv4-gate4", "cv8-gate8", "audio-dc8", "cv16-gate16"),
		pick("window", "0 V to 5 V", "1 V to 6 V"), pick("two", "cv4-gate4", "audio-dc8"))
	fmt.Fprintf(&b, "sequencers: {seq: {parts: 3}}\nvoices: {k: {group_pitch: %s}, l: {group_pitch: %s, inputs: [pitch, gate, velocity]}}\nbanks:\n",
		pick("group", "none", "sums", "normalled", "switched"), pick("group", "none", "sums", "normalled", "switched"))
	for _, name := range banks {
		fmt.Fprintf(&b, "  %s: {voices: %s, kind: %s%s}\n", name, pick("voices", "2", "3"), pick("kind", "k", "l"),
			pick("lanes", "", ", lanes: [cutoff]", ", lanes: [pitch]", ", lanes: [gate, cutoff]"))
	}
	fmt.Fprintf(&b, "macros: {m: {from: CC 1 on 1, to: %s}, n: {from: CC 2 on 1, to: %s}}\n", targets(), targets())
	if rapid.Bool().Draw(t, "wired") {
		fmt.Fprintf(&b, "gear: {x: {does: %s}}\nwiring:\n", pick("does", "adder", "gate-or", "passive", "buffered 4"))
		for n := range rapid.IntRange(1, 3).Draw(t, "wires") {
			fmt.Fprintf(&b, "  - {from: main.%s %d, through: %s, to: %s}\n", pick("jack", "cv", "gate"), n+1, pick("through", "direct", "passive", "buffered 2"), targets())
		}
		if rapid.Bool().Draw(t, "module") {
			fmt.Fprintf(&b, "  - {from: two.cv 1, to: x}\n  - {from: x, to: %s}\n", targets())
		}
	}
	if rapid.Bool().Draw(t, "pinned") {
		fmt.Fprintf(&b, "pins: {L2.pitch: two.cv 2, n: main.cv 4}\n")
	}
	fmt.Fprintf(&b, "set_ups:\n  studio: {from: [main, two]}\n  half: {from: two}\n")
	for n, parts := range []string{"{1: K}", "{1: K, 3: [L, M]}"} {
		fmt.Fprintf(&b, "  stage%d: {from: seq, parts: %s, gates: %s, through: %s%s}\n", n, parts, pick("gates", "or", "multiples"), pick("by", "passive", "buffered 2"),
			pick("pitches", "", ", pitches: multiples"))
	}
	rig, faults := profiles.Read("test.yaml", []byte(b.String()), nil)
	if len(faults) > 0 {
		t.Skip(faults[0].Message)
	}
	return routing.NewMap(rig)
}

// named holds that no two cables have one name, and that those of interfaces have
// the names of the map, where no gate-OR stands in the way.
func named(t require.TestingT, c *Change) {
	flags := map[string]string{}
	for _, f := range cables.List(c.From.base) {
		flags[f.Jack+" > "+f.To] = f.Name
	}
	pulls, plugs := c.Names()
	for i, names := range [][]string{pulls, plugs} {
		seen := map[string]bool{}
		for j, name := range names {
			require.False(t, seen[name], name)
			seen[name] = true
			x := [][]Cable{c.Pulls, c.Plugs}[i][j]
			if flag := flags[x.From.Panel+" "+x.From.Name+" > "+x.To.Name]; flag != "" {
				require.Equal(t, flag, name)
			}
			require.NotContains(t, name, "cv0")
		}
	}
}

// Whatever a rig says: there and back are the same moves turned round, no cable
// is named twice, and what a sequencer plays has one plug, from it.
func TestLawsOfWildRigs(t *testing.T) {
	read := 0
	rapid.Check(t, func(t *rapid.T) {
		m := drawWild(t)
		read++
		Findings(m)
		from, to := rapid.IntRange(0, 3).Draw(t, "from"), rapid.IntRange(0, 3).Draw(t, "to")
		a, b := New(m, from), New(m, to)
		c, back := Between(a, b), Between(b, a)
		require.Equal(t, c.Moves(), back.Moves())
		all, then := Label(a, b)
		require.Len(t, unique(all), len(all))
		require.Len(t, unique(then), len(then))
		require.Equal(t, len(all)+len(c.Plugs), len(then)+len(c.Pulls))
		Ways(m, from, to)
		named(t, c)

		plugs := map[Jack]int{}
		for _, x := range then {
			plugs[x.To]++
		}
		for in, n := range b.Reaches() {
			if n.Interface == len(m.Rig.Interfaces) { // the sequencer
				require.Equal(t, 1, plugs[Jack{"bank " + m.Rig.Banks[in.Bank].Name, in.Name(m.Rig)}], in.Name(m.Rig))
			}
		}
	})
	require.Positive(t, read)
}
