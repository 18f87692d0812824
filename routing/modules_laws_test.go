package routing

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/profiles"
)

// wired is a random way of wiring jacks, modules and gates' inputs, in which
// wires lead from lower numbers to higher ones.
type wired struct {
	does  []string
	jacks [][]int    // by jack: the modules it leads to
	on    [][]int    // by module: the modules behind it
	ends  [][]string // by module: the inputs behind it
}

// drawn draws one: every module has an input of its own behind it, and is led to.
func drawn(t *rapid.T) *wired {
	n := rapid.IntRange(1, 6).Draw(t, "modules")
	w := &wired{jacks: make([][]int, 3), on: make([][]int, n), ends: make([][]string, n)}
	for i := range n {
		w.does = append(w.does, rapid.SampledFrom([]string{"passive", "buffered 64", "adder"}).Draw(t, "does"))
		w.ends[i] = []string{fmt.Sprintf("K%d.level", i+1)}
		sources := 1
		if w.does[i] == "adder" {
			sources = rapid.IntRange(1, 3).Draw(t, "sources")
		}
		for range sources {
			from := rapid.IntRange(-3, i-1).Draw(t, "from") // −3 … −1 are jacks
			var list *[]int
			if from < 0 {
				list = &w.jacks[-from-1]
			} else {
				list = &w.on[from]
			}
			if !slices.Contains(*list, i) {
				*list = append(*list, i)
			}
		}
	}
	return w
}

func (w *wired) text() string {
	var b strings.Builder
	b.WriteString("interfaces: {main: {cv: 64, gates: 64}}\nbanks: {K: {voices: 6}}\ngear:\n")
	for i, does := range w.does {
		fmt.Fprintf(&b, "  m%d: {does: %s}\n", i, does)
	}
	b.WriteString("wiring:\n")
	write := func(from string, modules []int, ends []string) {
		var to []string
		for _, m := range modules {
			to = append(to, fmt.Sprintf("m%d", m))
		}
		if to = append(to, ends...); len(to) > 0 {
			fmt.Fprintf(&b, "  - {from: %s, to: [%s]}\n", from, strings.Join(to, ", "))
		}
	}
	for j, modules := range w.jacks {
		write(fmt.Sprintf("main.cv %d", 60+j), modules, nil)
	}
	for i := range w.does {
		write(fmt.Sprintf("m%d", i), w.on[i], w.ends[i])
	}
	return b.String()
}

// reaches walks through the modules by itself: what a jack leads to, and what
// hangs on it, which ends at the first amplifier. Each wire into an adder is an input of it.
func (w *wired) reaches(jack int) (ends []string, load int) {
	seen := map[int]bool{}
	var walk func(m int, loads bool)
	walk = func(m int, loads bool) {
		if w.does[m] != "passive" {
			if loads {
				load++
			}
			loads = false
		}
		if seen[m] {
			return
		}
		seen[m] = true
		ends = append(ends, w.ends[m]...)
		if loads {
			load += len(w.ends[m])
		}
		for _, next := range w.on[m] {
			walk(next, loads)
		}
	}
	for _, m := range w.jacks[jack] {
		walk(m, true)
	}
	slices.Sort(ends)
	return ends, load
}

// Through whatever modules, a jack's net reaches what a walk reaches, each input
// once, and nothing but one plug goes into a jack without an adder.
func TestModulesAgainstAWalk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawn(t)
		rig, faults := profiles.Read("test.yaml", []byte("rig: Test\n"+w.text()), nil)
		require.Empty(t, faults, w.text())
		m := NewMap(rig)
		for jack := range w.jacks {
			want, load := w.reaches(jack)
			var got []string
			for i := range m.Nets {
				if n := &m.Nets[i]; !n.GateJack && n.Jack == 60+jack {
					for _, in := range n.Inputs() {
						got = append(got, in.Name(rig))
					}
					require.Len(t, n.Load.Inputs, load, w.text())
				}
			}
			slices.Sort(got)
			require.Equal(t, want, got, w.text())
		}
	})
}
