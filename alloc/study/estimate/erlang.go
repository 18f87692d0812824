package estimate

// ErlangB returns the share of notes that find none of some voices free and are
// refused, by number of voices from 0 to most: B(0) = 1, B(n) = A·B(n−1) /
// (n + A·B(n−1)). Notes come one by one at random (Poisson) and offer a load of
// A erlang; how long each lasts does not matter (A. K. Erlang 1917).
func ErlangB(load float64, most int) []float64 {
	b := make([]float64, most+1)
	b[0] = 1
	for n := 1; n <= most; n++ {
		ab := load * b[n-1]
		b[n] = ab / (float64(n) + ab)
	}
	return b
}

// Class is notes that take so many voices each and offer a load in erlang,
// counted in notes.
type Class struct {
	Load  float64
	Width int // voices, at least 1
}

// MultiRate returns the share of all notes, each weighed by its class's share of
// the notes that begin, which find fewer free voices than they take and are
// refused, on a number of voices. weights add up to 1. With one class of width 1
// it is Erlang's B. The states follow J. S. Kaufman, IEEE Trans. Commun. 29, 1981,
// and J. W. Roberts 1981: n·q(n) = Σ load·width·q(n − width); from memory, and
// checked against ErlangB and by adding up all states.
func MultiRate(classes []Class, weights []float64, voices int) float64 {
	q := make([]float64, voices+1)
	q[0] = 1
	sum := 1.0
	for n := 1; n <= voices; n++ {
		for _, c := range classes {
			if c.Width <= n {
				q[n] += c.Load * float64(c.Width) * q[n-c.Width]
			}
		}
		q[n] /= float64(n)
		if sum += q[n]; sum > 1e200 {
			for i := range q[:n+1] {
				q[i] /= sum
			}
			sum = 1
		}
	}
	refused := 0.0
	for i, c := range classes {
		for n := max(0, voices-c.Width+1); n <= voices; n++ {
			refused += weights[i] * q[n] / sum
		}
	}
	return refused
}
