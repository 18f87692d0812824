package study

import (
	"cmp"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
)

// What is nearest goes first, and of what is as near the column before, in whatever order
// it comes: sorted.
func TestNearestFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s search
		var want []reached
		for range rapid.IntRange(0, 20).Draw(t, "columns") {
			r := reached{int64(rapid.IntRange(0, 9).Draw(t, "distance")), int32(rapid.IntRange(0, 9).Draw(t, "column"))}
			s.push(r)
			want = append(want, r)
		}
		slices.SortFunc(want, func(a, b reached) int {
			return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.column, b.column))
		})
		for _, r := range want {
			require.Equal(t, r, s.pop())
		}
	})
}

// weighted is a list of intervals, in milliseconds, and what each weighs.
type weighted struct {
	intervals []Interval
	weights   []Weight
}

// weigh makes one of starts, ends and weights.
func weigh(triples ...time.Duration) (w weighted) {
	for i := 0; i < len(triples); i += 3 {
		w.intervals = append(w.intervals, Interval{triples[i] * ms, triples[i+1] * ms})
		w.weights = append(w.weights, Weight(triples[i+2]))
	}
	return w
}

func (w weighted) total() (sum Weight) {
	for i, x := range w.weights {
		if w.intervals[i].Length() > 0 {
			sum += x
		}
	}
	return sum
}

func TestPlansByHand(t *testing.T) {
	for _, c := range []struct {
		name string
		weighted
		lost []Weight // by voices, from 0
		kept []int    // with one voice
	}{
		{
			// By hand: the two short ones are lost, 2;
			// giving up the fewest would lose the long one, 5.
			name: "where the fewest are not the least", weighted: weigh(0, 10, 5, 1, 3, 1, 4, 6, 1),
			lost: []Weight{7, 2, 0}, kept: []int{0},
		},
		{
			// By hand: the first and the last, 10 + 5, sound one after the other. The other two begin and end
			// beside them, so that stepping on is the cheapest way to where the last begins.
			name: "where stepping on is cheapest", weighted: weigh(0, 4, 10, 0, 6, 1, 5, 9, 1, 7, 8, 5),
			lost: []Weight{17, 2, 0}, kept: []int{0, 3},
		},
		{
			// As above: best kept 9, 17, 22 with 1, 2, 3 voices, of 22. With one
			// [0,4) and [5,8), 4 + 5; [2,6) and [6,9) would be 7 + 1.
			name: "six of unlike weights", weighted: weigh(0, 4, 4, 1, 3, 2, 2, 6, 7, 3, 7, 3, 5, 8, 5, 6, 9, 1),
			lost: []Weight{22, 22 - 9, 22 - 17, 0}, kept: []int{0, 4},
		},
		{
			// Of equal weights, 4 and 2 + 2, the plan that gives up fewer.
			name: "the same weight with fewer notes", weighted: weigh(0, 4, 2, 5, 9, 2, 3, 6, 4),
			lost: []Weight{8, 4, 0}, kept: []int{0, 1},
		},
		{
			// Half-open, and one without a length, which occupies nothing.
			name: "end to start", weighted: weigh(0, 5, 3, 5, 9, 4, 5, 5, 9), lost: []Weight{7, 0}, kept: []int{0, 1, 2},
		},
		{
			// What weighs nothing is still not given up without need.
			name: "no weight", weighted: weigh(0, 5, 0, 5, 9, 0), lost: []Weight{0, 0}, kept: []int{0, 1},
		},
		{name: "nothing", lost: []Weight{0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := NewPlans(c.intervals, c.weights)
			for v, lost := range c.lost {
				require.Equal(t, lost, p.Lost(v), "%d voices", v)
			}
			require.Equal(t, c.lost[0], p.Lost(-1))
			require.Zero(t, p.Lost(99))
			require.Zero(t, p.Damaged(99))
			var kept []int
			for i := range c.intervals {
				require.True(t, p.Keeps(99, i))
				if p.Keeps(1, i) {
					kept = append(kept, i)
				}
			}
			require.Equal(t, c.kept, kept)
		})
	}
}

func anyWeighted(most int, heaviest int64) *rapid.Generator[weighted] {
	return rapid.Custom(func(t *rapid.T) (w weighted) {
		w.intervals = anyIntervals(most).Draw(t, "intervals")
		for range w.intervals {
			w.weights = append(w.weights, Weight(rapid.Int64Range(0, heaviest).Draw(t, "weight")))
		}
		return w
	})
}

// requireSound holds every plan to what it says of itself: the kept fit the
// voices, the others are as many and weigh as much as it says.
func requireSound(t require.TestingT, w weighted, p *Plans) {
	last := Weight(0)
	for v := range Peak(w.intervals) + 1 {
		var kept []Interval
		lost, damaged := Weight(0), 0
		for i, x := range w.intervals {
			if p.Keeps(v, i) {
				kept = append(kept, x)
				continue
			}
			lost += w.weights[i]
			damaged++
		}
		require.LessOrEqual(t, Peak(kept), v)
		require.Equal(t, p.Lost(v), lost, "%d voices", v)
		require.Equal(t, p.Damaged(v), damaged, "%d voices", v)
		if v > 1 { // each further voice helps at most as much as the one before
			require.LessOrEqual(t, p.Lost(v-1)-lost, last)
		}
		last = p.Lost(v-1) - lost
	}
}

// TestPlansAgainstAllSubsets tries which subset that fits keeps the most
// weight, and of these the most notes.
func TestPlansAgainstAllSubsets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWeighted(10, 4).Draw(t, "weighted")
		p := NewPlans(w.intervals, w.weights)
		requireSound(t, w, p)
		type kept struct {
			weight Weight
			notes  int
		}
		best := make([]kept, len(w.intervals)+1)
		for set := range uint(1) << len(w.intervals) {
			var list []Interval
			k := kept{notes: bits.OnesCount(set)}
			for i := range w.intervals {
				if set>>i&1 == 1 {
					list = append(list, w.intervals[i])
					if w.intervals[i].Length() > 0 {
						k.weight += w.weights[i]
					}
				}
			}
			for v := Peak(list); v < len(best); v++ {
				if k.weight > best[v].weight || k.weight == best[v].weight && k.notes > best[v].notes {
					best[v] = k
				}
			}
		}
		for v, k := range best {
			require.Equal(t, w.total()-k.weight, p.Lost(v), "%d voices", v)
			require.Equal(t, len(w.intervals)-k.notes, p.Damaged(v), "%d voices", v)
		}
	})
}

func TestPlansAreTheOptimumOfALinearProgramme(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWeighted(20, 100_000).Draw(t, "weighted")
		p := NewPlans(w.intervals, w.weights)
		for v := range Peak(w.intervals) + 1 {
			programme := mostKept(w.intervals, v)
			for i := range w.intervals {
				programme.gain[i] = 0
				if w.intervals[i].Length() > 0 {
					programme.gain[i] = float64(w.weights[i])
				}
			}
			require.InDelta(t, float64(w.total())-programme.optimum(t), float64(p.Lost(v)), 1e-3, "%d voices", v)
		}
	})
}

// Whoever has set out steps on or plays in every column, and by the potentials no way that is left has a cost
// below nothing: what the search for the next one relies on.
func TestNetworkAfterEachVoice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWeighted(20, 100).Draw(t, "weighted")
		edges, columns := columnsOf(w.intervals)
		for i := range edges {
			edges[i].worth = int64(w.weights[edges[i].interval]) + 1
		}
		n := newNetwork(edges, columns)
		for v := range Peak(w.intervals) + 1 {
			walking := slices.Clone(n.idle)
			least := int64(0)
			for _, e := range n.edges {
				cost := n.potential[e.from] - e.worth - n.potential[e.to]
				if e.kept {
					for c := e.from; c < e.to; c++ {
						walking[c]++
					}
					cost = -cost
				}
				least = min(least, cost)
			}
			for c, voices := range walking {
				require.Equal(t, v, int(voices), "column %d", c)
				require.GreaterOrEqual(t, n.idle[c], int32(0))
				step := n.potential[c] - n.potential[c+1]
				least = min(least, step)
				if n.idle[c] > 0 {
					least = min(least, -step)
				}
			}
			require.Zero(t, least, "%d voices", v)
			n.send()
		}
	})
}

func TestEqualWeightsAreTheFewestDamaged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := weighted{intervals: anyIntervals(200).Draw(t, "intervals")}
		w.weights = slices.Repeat([]Weight{1}, len(w.intervals))
		p := NewPlans(w.intervals, w.weights)
		requireSound(t, w, p)
		for v, b := range Bounds(w.intervals) {
			require.Equal(t, b.FewestDamaged, p.Damaged(v), "%d voices", v)
			require.Equal(t, Weight(b.FewestDamaged), p.Lost(v), "%d voices", v)
		}
	})
}

// Weights too great to count notes beside them still add up.
func TestGreatWeights(t *testing.T) {
	const great = 1 << 60
	w := weigh(0, 4, great, 2, 6, great+1, 5, 9, great)
	p := NewPlans(w.intervals, w.weights)
	require.Equal(t, Weight(great+1), p.Lost(1))
	require.Equal(t, Weight(0), p.Lost(2))
}

func TestPlansDoNotDependOnWhatIsAskedFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := anyWeighted(100, 1000).Draw(t, "weighted")
		v := rapid.IntRange(0, 8).Draw(t, "voices")
		later, first := NewPlans(w.intervals, w.weights), NewPlans(w.intervals, w.weights)
		later.Lost(later.Peak() - 1)
		require.Equal(t, first.Lost(v), later.Lost(v))
		for i := range w.intervals {
			require.Equal(t, first.Keeps(v, i), later.Keeps(v, i))
		}
	})
}

// pedalled makes n intervals of a mean depth of 60: chords under a pedal.
func pedalled(n int) weighted {
	rng := rand.New(rand.NewPCG(2, 0))
	var w weighted
	start := time.Duration(0)
	for i := range n {
		if i%4 == 0 {
			start += time.Duration(rng.IntN(int(400 * ms)))
		}
		w.intervals = append(w.intervals, Interval{start, start + time.Duration(rng.IntN(int(6*time.Second)))})
		w.weights = append(w.weights, Weight(1+rng.IntN(200_000)))
	}
	return w
}

// BenchmarkPlans plans 10 000 notes for the numbers of voices up to some, the
// last of them for every number. What to hold: a second.
func BenchmarkPlans(b *testing.B) {
	w := pedalled(10_000)
	peak := Peak(w.intervals)
	for _, v := range []int{1, 8, 64, peak - 1} {
		b.Run(fmt.Sprintf("voices=%d", v), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				NewPlans(w.intervals, w.weights).Lost(v)
			}
		})
	}
}

// What the plan for one voice keeps is worth what it weighs, and what it gives up less than nothing: 1 − (3 + 1) and 2 − (3 + 1).
func TestWorth(t *testing.T) {
	r, _ := crowdedSong(1, 1)
	r.Weigh = func([]alloc.Part, *Reference) []Weight { return []Weight{3, 1, 2} }
	ref := NewReference(r, Performance{Steps: stepsOf(t, "0 on 60, 100 on 62, 200 on 64, 300 off 60, 300 off 62, 300 off 64"), End: time.Second})
	require.Equal(t, []int64{3, -3, -2}, ref.worth(r.Config))
}

// A sum of weights orders by weight first: one of 7 is kept before six of 1, though these are more. Weights are
// multiplied as long as there is room: of n intervals by n + 1, the sum below 2⁶³/2/(n+1) by more than one.
func TestWeightBeforeNumber(t *testing.T) {
	w := weigh(0, 14, 7, 1, 2, 1, 3, 4, 1, 5, 6, 1, 7, 8, 1, 9, 10, 1, 11, 12, 1)
	require.Equal(t, Weight(6), NewPlans(w.intervals, w.weights).Lost(1))
	for sum, want := range map[Weight][2]int64{1<<61 - 3: {2, 1}, 1<<61 - 2: {1, 0}, 1 << 61: {1, 0}} {
		scale, more := worthOf(make([]edge, 1), []Weight{sum})
		require.Equal(t, want, [2]int64{scale, more}, sum)
	}
}
