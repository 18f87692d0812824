package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// poisson is the probability of n.
func poisson(mean float64, n int) float64 {
	log, _ := math.Lgamma(float64(n + 1))
	return math.Exp(float64(n)*math.Log(mean) - mean - log)
}

// poissonTail is the probability of at least n, added up.
func poissonTail(mean float64, n int) float64 {
	sum := 0.0
	for k := n; k < n+400; k++ {
		sum += poisson(mean, k)
	}
	return sum
}

// Panjer's recursion against the definition: a Poisson number of jumps, each
// spread as the one before.
func TestPanjerAgainstItsDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jumps := []float64{0}
		total := 0.0
		for range rapid.IntRange(1, 5).Draw(t, "sizes") {
			a := rapid.Float64Range(0, 2).Draw(t, "mean")
			jumps = append(jumps, a)
			total += a
		}
		if total == 0 {
			return
		}
		g := panjer(jumps)
		want := make([]float64, len(g))
		spread := []float64{1} // of a number of jumps
		for n := 0; n < 80; n++ {
			for at, p := range spread {
				if at < len(want) {
					want[at] += poisson(total, n) * p
				}
			}
			next := make([]float64, len(spread)+len(jumps)-1)
			for at, p := range spread {
				for by, a := range jumps {
					next[at+by] += p * a / total
				}
			}
			spread = next
		}
		for n := range g {
			require.InDelta(t, want[n], g[n], 1e-12, "%d", n)
		}
		require.InDelta(t, 1, tail(g)[0], 1e-12)
	})
}

// Steal-oldest with constant lengths: P(Poisson(load) ≥ voices), 0.142877 for 2 E
// on 4 voices beside Erlang's 2/21 = 0.095238: computed by simulation and formula.
func TestStealingAgainstRefusing(t *testing.T) {
	m := model(t, rig(4), "notes, 4 a second, 0.5 s")
	list := m.Theory(12)
	require.InDelta(t, 0.142877, list[3].Chords, 5e-7)
	require.InDelta(t, 0.095238, list[3].Refused, 5e-7)
	for i := range list {
		require.InDelta(t, poissonTail(2, i+1), list[i].Chords, 1e-12)
		require.InDelta(t, list[i].Chords, list[i].Poisson, 1e-12)
		require.InDelta(t, poissonTail(2, i+2), list[i].AboveHeld, 1e-12)
		require.InDelta(t, poissonTail(2, i+2), list[i].AboveAudible, 1e-12, "no tails")
	}
}

// Chords of 4 at 2 a second for 0.8 s: as many chords sound as Poisson(1.6) says.
// On 4n voices a chord finds room for all of its notes or for none; in between
// for some.
func TestChords(t *testing.T) {
	list := model(t, rig(4), "chords of 4, 2 a second, 0.8 s").Theory(24)
	for v := 1; v <= 24; v++ {
		whole, part := v/4, v%4
		want := (float64(4-part)*poissonTail(1.6, whole) + float64(part)*poissonTail(1.6, whole+1)) / 4
		require.InDelta(t, want, list[v-1].Chords, 1e-12, "%d voices", v)
		require.InDelta(t, poissonTail(6.4, v), list[v-1].Poisson, 1e-12)
	}
}

// Notes of every length of chord weigh as many as there are: chords of 1 or 2 on
// one voice lose the first note where another sounds or is struck by the side. By
// hand: 1 − e^(−a) of the firsts and all of the seconds, of three notes two are
// firsts.
func TestChordsOfSeveralSizes(t *testing.T) {
	list := model(t, rig(4), "chords of 1-2, 1 a second, 0.7 s").Theory(2)
	require.InDelta(t, (2*(1-math.Exp(-0.7))+1)/3, list[0].Chords, 1e-12)
}

// With a pedal that is lifted every second a note lasts for its key and a time
// between 0 and 1 s: the mean of 1 − e^(−(0.5+u)) over u is 1 − e^(−0.5) + e^(−1.5).
func TestPedalMixes(t *testing.T) {
	m := model(t, rig(4), "notes, 1 a second, 0.5 s, pedal 1 s")
	require.InDelta(t, 1, m.All.Gated, 1e-12)
	require.InDelta(t, 1-math.Exp(-0.5)+math.Exp(-1.5), m.Theory(1)[0].Chords, 1e-5)
	require.InDelta(t, 0.5, m.All.Held, 1e-12)
	require.InDelta(t, poissonTail(0.5, 2), m.Theory(1)[0].AboveHeld, 1e-12)
}

// Even chords: 0.8 s at 2 a second is one chord and of 60 % of the time another.
// Exactly 1 s at 2 a second is two, as the third begins where the first ends.
func TestEven(t *testing.T) {
	list := model(t, rig(4), "chords of 4, 2 a second, 0.8 s, even").Theory(9)
	require.InDelta(t, 1, list[2].AboveHeld, 1e-9)
	require.InDelta(t, 0.6, list[3].AboveHeld, 1e-9)
	require.InDelta(t, 0.6, list[6].AboveHeld, 1e-9)
	require.Zero(t, list[7].AboveHeld)
	require.InDelta(t, 1, list[3].Chords, 1e-12, "each finds the one before")
	require.InDelta(t, 0.5, list[5].Chords, 1e-12)
	require.Zero(t, list[7].Chords)
	list = model(t, rig(4), "notes, 3 a second, 1 s, even").Theory(4)
	require.InDelta(t, 1, list[1].Chords, 1e-12)
	require.Zero(t, list[2].Chords)
	require.Zero(t, list[2].AboveHeld)
}

// More voices never damage more, in all columns.
func TestTheoryFalls(t *testing.T) {
	for _, text := range ways4Tests {
		list := model(t, rig(4, unison(3), slow), text).Theory(150)
		for i := 1; i < len(list); i++ {
			a, b := &list[i-1], &list[i]
			for j, pair := range [][2]float64{{a.Refused, b.Refused}, {a.Poisson, b.Poisson}, {a.Chords, b.Chords}, {a.Tails, b.Tails},
				{a.AboveGated, b.AboveGated}, {a.AboveAudible, b.AboveAudible}} {
				if i >= 3 { // below, unisons grow with the voices
					require.LessOrEqual(t, pair[1], pair[0]+1e-12, "%s: column %d on %d", text, j, i+1)
				}
			}
			require.LessOrEqual(t, b.AboveHeld, b.AboveGated+1e-12)
			require.LessOrEqual(t, b.AboveGated, b.AboveAudible+1e-12)
			require.LessOrEqual(t, b.Chords, b.Tails+1e-12)
		}
	}
}

// How far back a note may have begun that sounds now, against trying all starts
// a millisecond apart: key up, then the first lift, then the tail.
func TestWindow(t *testing.T) {
	const period, now = 2000, 20_000
	for _, s := range []stream{{key: 0.5, tail: 0.7}, {key: 0.5, tail: 0.7, pedal: true}, {key: 2.5, tail: 4.1, pedal: true}} {
		for phase := 0; phase < period; phase += 130 {
			key, long := int(s.key*1000), int(s.tail*1000)
			var sounds [3]int
			at := now + phase
			for start := 0; start < at; start++ {
				up := start + key
				low := up
				if s.pedal {
					low = (up + period - 1) / period * period
				}
				for k, end := range [3]int{up, low, low + long} {
					if end > at {
						sounds[k]++
					}
				}
			}
			for k := range sounds {
				got := s.window(kind(k), float64(phase)/1000, period/1000.0)
				require.InDelta(t, float64(sounds[k])/1000, got, 0.0021, "%v, kind %d at %d ms", s, k, phase)
			}
		}
	}
}
