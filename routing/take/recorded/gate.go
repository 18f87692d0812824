package recorded

import (
	"math"
	"time"

	"choirloft/routing/take"
)

const (
	// mostTail is the level of a tail, as a share of full, above which nobody can tell
	// whether a short gate has opened the voice once more.
	mostTail = 0.7
	// opens is by how much a note must be above the tail of the one before: 2 dB.
	opens = 1.26
	// leastOpen is the level that a gate must bring, as a share of full: −46 dB.
	leastOpen = 0.005
)

// setGate finds the shortest gate that opened a voice: what sounds after it stands above
// what was left of the note before. Without a release, or where too much is left, it is
// not told.
func (r *reader) setGate(v *Voice, s *slot) error {
	if math.IsNaN(v.Release) {
		return nil
	}
	notes := s.part.Notes
	var before *take.Note // the last that opened the voice
	for i := range notes {
		n := &notes[i]
		if n.Kind != take.Gate {
			before = n
			continue
		}
		full, hertz := s.held(r, v, n)
		if full == 0 || before == nil {
			return nil
		}
		left := math.Pow(10, -3*(n.At-before.End()).Seconds()/v.Release)
		if left > mostTail {
			return nil
		}
		level, floor, err := r.after(n, hertz)
		if err != nil {
			return err
		}
		if level > opens*left*full+floor && level > leastOpen*full && level > 2*floor {
			v.Gate = n.Long.Seconds()
			return nil
		}
	}
	return nil
}

// held is the level at which the key of a gate sounds while it is held, and its pitch; 0
// where no reading has that key.
func (s *slot) held(r *reader, v *Voice, n *take.Note) (level, hertz float64) {
	for _, g := range s.segments {
		if g.note.Kind == take.Reading && g.note.Key == n.Key {
			hertz = g.spec.comb(r.hertz(float64(n.Key) + float64(12*v.Octaves))).hertz
			return math.Sqrt(2 * g.spec.tooth(hertz)), hertz
		}
	}
	return 0, 0
}

// after is the highest level of a tone soon after a gate, and that where nothing plays.
func (r *reader) after(n *take.Note, hertz float64) (level, floor float64, err error) {
	const within = 120 * time.Millisecond
	window := math.Max(4/hertz, 0.008)
	from, to := r.clock.at(n.At.Seconds()), r.clock.at((n.At + within).Seconds())
	x, start, err := r.piece(from-window, to+window)
	if err != nil {
		return 0, 0, err
	}
	for t := from + window/2; t < to; t += window / 8 {
		level = math.Max(level, r.level(x, start, t, window, hertz))
	}
	return level, r.floor(hertz, window), nil
}
