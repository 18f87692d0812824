package study

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
	"pgregory.net/rapid"
)

// programme is: maximise gain·x under x ≥ 0 and, for each row, Σ row·x ≤ limit.
type programme struct {
	gain   []float64
	rows   [][]float64
	limits []float64
}

func (p *programme) add(limit float64) []float64 {
	row := make([]float64, len(p.gain))
	p.rows = append(p.rows, row)
	p.limits = append(p.limits, limit)
	return row
}

// optimum solves it by gonum's simplex, which wants equalities: each row gets
// a slack variable, and the slacks are the first basis.
func (p *programme) optimum(t require.TestingT) float64 {
	m, n := len(p.rows), len(p.gain)
	if m == 0 {
		return 0
	}
	cost := make([]float64, n+m)
	for j, g := range p.gain {
		cost[j] = -g
	}
	a := mat.NewDense(m, n+m, nil)
	basis := make([]int, m)
	for i, row := range p.rows {
		for j, x := range row {
			a.Set(i, j, x)
		}
		a.Set(i, n+i, 1)
		basis[i] = n + i
	}
	best, _, err := lp.Simplex(cost, a, p.limits, 1e-9, basis)
	require.NoError(t, err)
	return -best
}

// mostKept is: x_i of note i is kept, 0–1; at each start those kept do not
// exceed the voices. Its matrix has consecutive ones, so it is totally
// unimodular and the optimum is a whole number (D. R. Fulkerson, O. A. Gross,
// 1965).
func mostKept(intervals []Interval, v int) *programme {
	p := &programme{gain: make([]float64, len(intervals))}
	for i := range intervals {
		p.gain[i] = 1
		p.add(1)[i] = 1
		row := p.add(float64(v))
		for j, x := range intervals {
			if x.Start <= intervals[i].Start && intervals[i].Start < x.End {
				row[j] = 1
			}
		}
	}
	return p
}

// mostPlayed is: x of a note and a millisecond is the share of it that is
// played, 0–1; it never grows, since a note that was cut does not come back;
// in no millisecond is more played than there are voices.
func mostPlayed(intervals []Interval, v int) *programme {
	var cells []struct{ note, at int }
	for n, i := range intervals {
		for at := i.Start / ms; at < i.End/ms; at++ {
			cells = append(cells, struct{ note, at int }{n, int(at)})
		}
	}
	p := &programme{gain: make([]float64, len(cells))}
	voices := map[int][]float64{}
	for c, cell := range cells {
		p.gain[c] = 1
		if c > 0 && cells[c-1].note == cell.note {
			row := p.add(0)
			row[c], row[c-1] = 1, -1
		} else {
			p.add(1)[c] = 1
		}
		if voices[cell.at] == nil {
			voices[cell.at] = p.add(float64(v))
		}
		voices[cell.at][c] = 1
	}
	return p
}

func TestFewestDamagedIsTheOptimumOfALinearProgramme(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		intervals := anyIntervals(20).Draw(t, "intervals")
		v := rapid.IntRange(1, 6).Draw(t, "voices")
		kept := mostKept(intervals, v).optimum(t)
		require.InDelta(t, float64(len(intervals))-kept, float64(FewestDamaged(intervals, v)), 1e-6)
	})
}

func TestUnavoidableIsTheOptimumOfALinearProgramme(t *testing.T) {
	short := rapid.Custom(func(t *rapid.T) Interval {
		start := time.Duration(rapid.IntRange(0, 8).Draw(t, "start"))
		return Interval{start * ms, (start + time.Duration(rapid.IntRange(0, 5).Draw(t, "length"))) * ms}
	})
	rapid.Check(t, func(t *rapid.T) {
		intervals := rapid.SliceOfN(short, 0, 8).Draw(t, "intervals")
		v := rapid.IntRange(1, 3).Draw(t, "voices")
		var length time.Duration
		for _, i := range intervals {
			length += i.End - i.Start
		}
		played := mostPlayed(intervals, v).optimum(t)
		lost := Unavoidable(intervals, v)
		require.InDelta(t, float64(length/ms)-played, float64(lost/ms), 1e-6)
	})
}
