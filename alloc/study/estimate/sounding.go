package estimate

import "math"

// stream is a layer as the theory sees it: chords at some rate, each of so many
// notes, each of so many voices.
type stream struct {
	rate        float64 // chords a second
	least, most int     // notes of a chord
	width       int     // voices of a note
	even        bool
	key, tail   float64 // seconds
	pedal       bool
}

// kind is what counts as sounding.
type kind int

const (
	held    kind = iota // key down
	gated               // key down or on the pedal
	audible             // those and tails
)

// window is how far back a note may have begun that still sounds, in seconds,
// at the phase of the pedal: the time since its last lift.
func (s *stream) window(k kind, phase, period float64) float64 {
	w := s.key
	if s.pedal && k == audible {
		w += math.Mod(math.Mod(phase-s.tail, period)+period, period)
	} else if s.pedal && k == gated {
		w += phase
	}
	if k == audible {
		w += s.tail
	}
	return w
}

func (s *stream) mean() float64 { return float64(s.least+s.most) / 2 }

// each calls f with every number of notes of a chord and its share.
func (s *stream) each(f func(notes int, share float64)) {
	for n := s.least; n <= s.most; n++ {
		f(n, 1/float64(s.most-s.least+1))
	}
}

// sounding returns the distribution of the number of voices that sound at a
// phase of the pedal: element n is the probability of n. from is the stream that
// asks, or −1 for whoever looks at any time: an even stream that asks finds all
// of its own earlier chords that a window has room for.
func sounding(streams []stream, k kind, phase, period float64, from int) []float64 {
	var jumps []float64 // by voices at once: how many such chords sound on average
	dist := []float64{1}
	for i := range streams {
		s := &streams[i]
		w := s.window(k, phase, period)
		if s.even {
			dist = convolve(dist, evenly(s, w, i == from))
			continue
		}
		for need := s.most*s.width + 1; len(jumps) < need; {
			jumps = append(jumps, 0)
		}
		s.each(func(n int, share float64) { jumps[n*s.width] += s.rate * w * share })
	}
	return convolve(dist, panjer(jumps))
}

// panjer returns the distribution of a compound Poisson sum, of which jumps[k]
// is the mean number of jumps by k. It ends where what is left is of no account.
func panjer(jumps []float64) []float64 {
	var total, mean, variance float64
	for k, a := range jumps {
		total += a
		mean += float64(k) * a
		variance += float64(k*k) * a
	}
	g := make([]float64, int(mean+14*math.Sqrt(variance))+8*len(jumps)+1)
	g[0] = math.Exp(-total)
	for n := 1; n < len(g); n++ {
		for k := 1; k < len(jumps) && k <= n; k++ {
			g[n] += float64(k) * jumps[k] * g[n-k]
		}
		g[n] /= float64(n)
	}
	return g
}

// evenly returns the distribution of the voices of an even stream: those of the
// whole number of chords that a window holds, or of one more, as often as the rest
// of the window says. To a chord of the stream the phase is no matter of chance:
// it finds all chords that begin less than a window before it.
func evenly(s *stream, window float64, own bool) []float64 {
	chords := window * s.rate
	whole := math.Floor(chords + slack)
	rest := max(0, chords-whole)
	if own {
		whole, rest = max(0, math.Ceil(chords-slack)-1), 0
	}
	one := make([]float64, s.most*s.width+1)
	s.each(func(n int, share float64) { one[n*s.width] += share })
	dist := []float64{1}
	for range int(whole) {
		dist = convolve(dist, one)
	}
	if rest <= 0 {
		return dist
	}
	more := convolve(dist, one)
	for n := range more {
		more[n] *= rest
		if n < len(dist) {
			more[n] += (1 - rest) * dist[n]
		}
	}
	return more
}

// slack is what arithmetic adds to a whole number of chords.
const slack = 1e-9

func convolve(a, b []float64) []float64 {
	if len(a) == 1 && a[0] == 1 {
		return b
	}
	sum := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		if x == 0 {
			continue
		}
		for j, y := range b {
			sum[i+j] += x * y
		}
	}
	return sum
}

// tail turns a distribution into its tails: element n is the probability of at
// least n, added up from the smallest. It has one element more, which is 0.
func tail(dist []float64) []float64 {
	sums := make([]float64, len(dist)+1)
	for n := len(dist) - 1; n >= 0; n-- {
		sums[n] = sums[n+1] + dist[n]
	}
	return sums
}

// phases is by how many phases of the pedal a mixture is taken, at the middle of
// equal steps: what is left out falls with their square.
const phases = 200

// atLeast returns the tails of the voices that sound, over all phases.
func atLeast(streams []stream, k kind, period float64, from int) []float64 {
	steps := 1
	if period > 0 && k != held {
		steps = phases
	}
	var mixed []float64
	for i := range steps {
		for n, p := range tail(sounding(streams, k, (float64(i)+0.5)/float64(steps)*period, period, from)) {
			if n == len(mixed) {
				mixed = append(mixed, 0)
			}
			mixed[n] += p / float64(steps)
		}
	}
	return mixed
}

// p returns the probability of at least n.
func p(tails []float64, n int) float64 {
	switch {
	case n <= 0:
		return 1
	case n >= len(tails):
		return 0
	}
	return min(1, tails[n])
}

// finders says how many notes find fewer free voices than they take.
type finders struct {
	streams []stream
	found   [][]float64 // by stream: the tails that its chords find
}

func newFinders(streams []stream, k kind, period float64) *finders {
	f := &finders{streams: streams}
	var random []float64
	for i := range streams {
		if !streams[i].even && random != nil {
			f.found = append(f.found, random) // the same for all that come at random
			continue
		}
		tails := atLeast(streams, k, period, i)
		f.found = append(f.found, tails)
		if !streams[i].even {
			random = tails
		}
	}
	return f
}

// share is that of all notes.
func (f *finders) share(voices int) float64 {
	var short, all float64
	for i := range f.streams {
		s := &f.streams[i]
		s.each(func(notes int, share float64) {
			for j := range notes {
				short += s.rate * share * p(f.found[i], voices-(j+1)*s.width+1)
			}
			all += s.rate * share * float64(notes)
		})
	}
	return short / all
}
