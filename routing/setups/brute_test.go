package setups

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/profiles"
	"choirloft/routing"
)

// permutations lists the orders of n things.
func permutations(n int) (all [][]int) {
	if n == 0 {
		return [][]int{nil}
	}
	for _, p := range permutations(n - 1) {
		for at := 0; at <= len(p); at++ {
			all = append(all, slices.Insert(slices.Clone(p), at, n-1))
		}
	}
	return all
}

// drawPatch draws multiples with up to three inputs each, no input twice.
func drawPatch(t *rapid.T, name string) *Patch {
	inputs := rapid.Permutation([]int{0, 1, 2, 3, 4}).Draw(t, name+" inputs")
	p := &Patch{}
	for range rapid.IntRange(0, 3).Draw(t, name+" multiples") {
		m := multiple{through: profiles.Through(rapid.IntRange(1, 2).Draw(t, "kind")), units: rapid.IntRange(1, 2).Draw(t, "units"),
			feed: Jack{"box", fmt.Sprint("cv ", rapid.IntRange(1, 3).Draw(t, "feed"))}}
		if m.through == profiles.Buffered {
			m.outs = 2
		}
		n := min(len(inputs), rapid.IntRange(1, 3).Draw(t, "size"))
		for _, in := range inputs[:n] {
			m.inputs = append(m.inputs, Jack{"bank", fmt.Sprint("in ", in)})
		}
		inputs = inputs[n:]
		if n > 0 {
			p.multiples = append(p.multiples, m)
		}
	}
	return p
}

// shared counts the cables that are in both lists.
func shared(a, b []Cable) (n int) {
	for _, c := range a {
		if slices.Contains(b, c) {
			n++
		}
	}
	return n
}

// The labels against all there are: every way to number the multiples of the
// second patch, and every way to use their outputs.
func TestLabelsAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawPatch(t, "a"), drawPatch(t, "b")
		from, to := Label(a, b)
		require.Equal(t, bestShared(from, a, b), shared(from, to))
		require.Len(t, unique(from), len(from))
		require.Len(t, unique(to), len(to))
	})
}

func unique(cables []Cable) map[Cable]bool {
	all := map[Cable]bool{}
	for _, c := range cables {
		all[c] = true
	}
	return all
}

func bestShared(from []Cable, a, b *Patch) (best int) {
	slots := len(a.multiples) + len(b.multiples)
	for _, numbers := range permutations(slots) {
		total := 0
		for j := range b.multiples {
			i := numbers[j]
			if i < len(a.multiples) && (a.multiples[i].through != b.multiples[j].through || a.multiples[i].outs != b.multiples[j].outs) {
				continue // another kind of module cannot be there
			}
			most := 0
			for _, outs := range permutations(3) {
				l := labelled{&b.multiples[j], i + 1, map[Jack]int{}}
				for k, in := range b.multiples[j].inputs {
					l.outs[in] = outs[k] + 1
				}
				most = max(most, shared(from, listed(nil, []labelled{l})))
			}
			total += most
		}
		best = max(best, total)
	}
	return best
}

// A small rack as its owner would see it, without anything of this package:
// of the cables of the studio any may stay plugged as long as no input has two
// plugs, no own plug breaks a normal in use, and what sums can rest at 0 V.
// Over all subsets, the most that may stay.
func TestPullsAgainstBruteForce(t *testing.T) {
	for _, group := range []string{"none", "sums", "normalled", "switched"} {
		for _, pitches := range []string{"group", "multiples"} {
			for _, window := range []string{"0 V to 5 V", "1 V to 6 V"} {
				for _, parts := range []string{"{1: K}", "{1: K, 2: L}", "{2: [K, L]}"} {
					if group == "none" && pitches == "group" {
						continue
					}
					m := mapOf(t, fmt.Sprintf(`
interfaces: {main: {profile: cv4-gate4, window: %s}}
sequencers: {seq: {profile: seq4}}
voices: {k: {group_pitch: %s}}
banks: {K: {voices: 2, kind: k}, L: {voices: 1, kind: k}, M: {voices: 1, kind: k}}
set_ups: {studio: {from: main}, stage: {from: seq, parts: %s, pitches: %s}}
`, window, group, parts, pitches))
					c := Between(New(m, 0), New(m, 1))
					all, _ := Label(c.From, c.To)
					require.Len(t, all, 8)
					stays := mostStay(all, words(c.Plugs), group, pitches == "group", window == "0 V to 5 V", parts)
					require.Equal(t, stays, c.Stay, "%s %s %s %s", group, pitches, window, parts)
				}
			}
		}
	}
}

func mostStay(studio []Cable, plugs []string, group string, common, zero bool, parts string) (most int) {
	played := func(name string) bool { return strings.Contains(parts, name[:1]) }
	for set := range 1 << len(studio) {
		n, ok := 0, true
		for i, c := range studio {
			if set&(1<<i) == 0 {
				continue
			}
			n++
			plugged := slices.ContainsFunc(plugs, func(p string) bool { return strings.HasSuffix(p, " "+c.To.Name) })
			own := strings.HasSuffix(c.To.Name, ".pitch") && played(c.To.Name) && common
			ok = ok && !plugged && !(own && group == "normalled") && !(own && group == "sums" && !zero)
		}
		if ok {
			most = max(most, n)
		}
	}
	return most
}

// Laws over drawn walls: there and back are the same moves turned round; every
// input has one plug at most; every bank that a part plays is played; nothing
// else changes.
func TestLawsOfChanges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawWall(t)
		a, b := New(m, 0), New(m, 1)
		c, back := Between(a, b), Between(b, a)
		require.Equal(t, c.Moves(), back.Moves())
		require.Equal(t, c.Stay, back.Stay)
		require.Equal(t, []int{len(c.Pulls), len(c.Plugs)}, []int{len(back.Plugs), len(back.Pulls)})
		_, to := Label(a, b)
		plugs := map[Jack]bool{}
		for _, x := range to {
			require.False(t, plugs[x.To], "%v is plugged twice", x.To)
			plugs[x.To] = true
		}
		for i, v := range m.Rig.Voices {
			require.True(t, b.Plays(i) || !a.Plays(i), v.Name)
		}
		require.Empty(t, b.Broken)
		own := Between(b, b)
		require.Zero(t, own.Moves())
		for _, o := range Ways(m, 0, 1) {
			if o.Written {
				require.Equal(t, c.Moves(), o.Change.Moves())
			}
		}
	})
}

func drawWall(t *rapid.T) *routing.Map {
	names := []string{"K", "L", "M", "N"}
	var banks, parts []string
	for i, name := range names {
		banks = append(banks, fmt.Sprintf("%s: {voices: %d, kind: k%d}", name, rapid.IntRange(1, 3).Draw(t, "voices"), rapid.IntRange(0, 3).Draw(t, "kind")))
		if part := rapid.IntRange(0, 2).Draw(t, "part"); part > 0 {
			parts = append(parts, fmt.Sprintf("%d: %s", part*4-i%4, name))
		}
	}
	if len(parts) == 0 {
		parts = []string{"1: [K, M]"}
	}
	text := fmt.Sprintf(`rig: R
interfaces: {main: {profile: cv16-gate16}}
sequencers: {seq: {parts: 8}}
voices: {k0: {group_pitch: none}, k1: {group_pitch: sums}, k2: {group_pitch: normalled}, k3: {group_pitch: switched}}
banks: {%s}
macros: {m: {from: CC 1 on 1, to: [K.cutoff, L.cutoff]}}
set_ups: {studio: {from: main}, stage: {from: seq, parts: {%s}, pitches: %s, gates: %s, through: %s}}
`, strings.Join(banks, ", "), strings.Join(parts, ", "), "PITCHES",
		rapid.SampledFrom([]string{"multiples", "or"}).Draw(t, "gates"), rapid.SampledFrom([]string{"passive", "buffered 2", "buffered 4"}).Draw(t, "through"))
	if rapid.Bool().Draw(t, "by multiples") {
		text = strings.Replace(text, "PITCHES", "multiples", 1)
	} else {
		text = strings.Replace(text, "pitches: PITCHES, ", "", 1)
	}
	rig, faults := profiles.Read("test.yaml", []byte(text), nil)
	if len(faults) > 0 {
		t.Fatalf("%s\n%v", text, faults)
	}
	return routing.NewMap(rig)
}
