package estimate

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
)

// exactB is the recursion in fractions.
func exactB(load int64, voices int) *big.Rat {
	a, b := big.NewRat(load, 1), big.NewRat(1, 1)
	for n := 1; n <= voices; n++ {
		ab := new(big.Rat).Mul(a, b)
		b = ab.Quo(ab, new(big.Rat).Add(big.NewRat(int64(n), 1), ab))
	}
	return b
}

// The values of Erlang's B that are known exactly, by A^n/n! over the sum of
// A^k/k!: for 2 E (2/3) / (1 + 2 + 2 + 4/3 + 2/3) = 2/21, and (4/15) / (7 + 4/15)
// = 4/109.
func TestErlangExactly(t *testing.T) {
	for _, c := range []struct {
		voices int
		want   *big.Rat
	}{{4, big.NewRat(2, 21)}, {5, big.NewRat(4, 109)}} {
		require.Zero(t, c.want.Cmp(exactB(2, c.voices)))
		want, _ := c.want.Float64()
		require.InDelta(t, want, ErlangB(2, 5)[c.voices], 1e-15)
	}
	for _, load := range []int64{1, 7, 20} {
		b := ErlangB(float64(load), 40)
		for n := range b {
			want, _ := exactB(load, n).Float64()
			require.InEpsilon(t, want, b[n], 1e-13, "%d E on %d", load, n)
		}
	}
}

// A worked table of traffic theory has 10 at 8 E and 18 at 20 E.
func TestErlangWorked(t *testing.T) {
	require.InDelta(t, 0.121661, ErlangB(8, 10)[10], 5e-7)
	require.InDelta(t, 0.221260, ErlangB(20, 18)[18], 5e-7)
}

// Published traffic tables: the load that so many refuse 1 % or 2 % of. Some of
// the printed tables carry errors; these rows were checked against the recursion.
func TestErlangTables(t *testing.T) {
	for _, c := range []struct {
		voices  int
		refused float64
		load    float64
		unit    float64 // the last digit that is printed
	}{
		{5, 0.01, 1.36, 0.01}, {10, 0.01, 4.46, 0.01}, {15, 0.01, 8.108, 0.001}, {20, 0.01, 12.03, 0.01},
		{7, 0.02, 2.935, 0.001}, {15, 0.02, 9.010, 0.001}, {25, 0.02, 17.505, 0.001}, {31, 0.02, 22.827, 0.001},
	} {
		require.Less(t, ErlangB(c.load-c.unit/2, c.voices)[c.voices], c.refused, "%v", c)
		require.Greater(t, ErlangB(c.load+c.unit/2, c.voices)[c.voices], c.refused, "%v", c)
	}
}

func TestMultiRateIsErlang(t *testing.T) {
	for v := 1; v <= 60; v++ {
		b := ErlangB(11.5, v)
		require.InDelta(t, b[v], MultiRate([]Class{{11.5, 1}}, []float64{1}, v), 1e-14)
		require.InDelta(t, b[v], MultiRate([]Class{{4.5, 1}, {7, 1}}, []float64{0.2, 0.8}, v), 1e-14, "two of a kind")
		require.InDelta(t, b[v/3], MultiRate([]Class{{11.5, 3}}, []float64{1}, v), 1e-14, "unison")
	}
}

// Against the sum over all states: n notes of the one class and k of the other
// are as likely as A^n/n!·B^k/k!, where they fit (product form).
func TestMultiRateAgainstAllStates(t *testing.T) {
	const a, b = 2.5, 1.25
	for _, widths := range [][2]int{{1, 2}, {2, 3}, {4, 1}} {
		for v := 4; v <= 14; v++ {
			var all, first, second float64
			for n := 0; n*widths[0] <= v; n++ {
				for k := 0; n*widths[0]+k*widths[1] <= v; k++ {
					p := math.Pow(a, float64(n)) / math.Gamma(float64(n+1)) * math.Pow(b, float64(k)) / math.Gamma(float64(k+1))
					free := v - n*widths[0] - k*widths[1]
					all += p
					if free < widths[0] {
						first += p
					}
					if free < widths[1] {
						second += p
					}
				}
			}
			got := MultiRate([]Class{{a, widths[0]}, {b, widths[1]}}, []float64{0.75, 0.25}, v)
			require.InDelta(t, (0.75*first+0.25*second)/all, got, 1e-14, "%v on %d", widths, v)
		}
	}
}

// Large loads do not overflow.
func TestLargeLoads(t *testing.T) {
	const load = 2000.0
	require.InEpsilon(t, ErlangB(load, 2000)[2000], MultiRate([]Class{{load, 1}}, []float64{1}, 2000), 1e-9)
}
