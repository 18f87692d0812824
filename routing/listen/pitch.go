package listen

// A pitch in time is a list of moves, in samples and in semitones on the scale of
// MIDI keys. It is looked at every grain samples; in between it stands still.

// grain is how many samples a pitch stands still for at least.
const grain = 64

// move is where a pitch goes from a sample on.
type move struct {
	at    int64
	from  float64 // where it is at that time
	to    float64
	glide int64 // samples that it takes to get there
}

// pitches are the moves of a strand, in the order of time; at least one. Before the
// first it is where that starts.
type pitches []move

// at is the pitch at a sample, and whether it moves then; next is a place in the
// list, at or before the move that holds.
func (p pitches) at(sample int64, next int) (pitch float64, moves bool, at int) {
	for next+1 < len(p) && p[next+1].at <= sample {
		next++
	}
	m := &p[next]
	since := max(0, sample-m.at)
	if since >= m.glide {
		return m.to, false, next
	}
	return m.from + float64((m.to-m.from)*(float64(since)/float64(m.glide))), true, next
}

// still tells whether the pitch stays as it is up to a sample; next as of at.
func (p pitches) still(until int64, moves bool, next int) bool {
	return !moves && (next+1 == len(p) || p[next+1].at >= until)
}

// add appends a move that begins where the pitch is then; the first where it goes.
func (p pitches) add(at int64, to float64, glide int64) pitches {
	m := move{at: at, from: to, to: to, glide: glide}
	if n := len(p); n > 0 {
		m.from, _, _ = p.at(at, n-1)
	}
	return append(p, m)
}
