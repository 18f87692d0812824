package opinion

import (
	"slices"
	"sort"
	"time"
)

// cut writes down what a voice was doing that is taken.
func (w *wall) cut(v *voice, by *Note, at time.Duration) {
	n := v.note
	switch v.state {
	case held, pedal:
		n.cut, n.cutAt, n.cutOn = true, at, v.state
		n.LevelDB = decibels(w.levelOf(*v, at))
	case tail:
		n.LevelDB = w.rules.Envelope.down(v.level, at-v.off)
		w.onTheFloor(v, n.LevelDB, w.rules.AudibleDB)
		switch {
		case n.LevelDB <= w.rules.AudibleDB:
			n.tail = "tail-cut inaudible"
		case n.Key == by.Key:
			n.tail = "tail-cut audible own key"
		default:
			n.tail = "tail-cut audible"
		}
	}
}

// ending says what became of a note, once its gate is known to its end. A note
// is damaged if it does not sound for all of its gate; one that was cut, or
// found no voice, at the instant at which its key was struck again lost nothing.
//
// Reading: within the minimum gate of its start means before that is over, and
// at the start itself also where the minimum gate is 0.
func (n *Note) ending(r Rules) string {
	// Reading: a note without length that got no voice never sounded, so it is
	// dropped, though no time is lost; struck again at that instant it is
	// superseded.
	if n.Voice < 0 && (n.End > n.Start || !n.Superseded) {
		n.Lost = n.End - n.Start
		return "dropped"
	}
	if n.cut && n.End > n.cutAt {
		n.Lost = n.End - n.cutAt
		switch {
		case n.cutAt == n.Start || n.cutAt-n.Start < r.MinGate:
			return "born-cut"
		case n.cutOn == pedal:
			return "pedal-cut"
		case n.Lost <= r.Overlap:
			return "overlap-only"
		}
		return "held-cut"
	}
	switch {
	case n.Superseded:
		return "superseded"
	case n.tail != "":
		return n.tail
	}
	return "complete"
}

// measure counts what the song asks for, and what no rule can beat.
func (v *Verdict) measure(r Rules) {
	var held, pedal, audible [][2]time.Duration
	from := map[*Note]float64{}
	for _, n := range v.Notes {
		if n.again != nil {
			from[n] = r.Envelope.up(from[n.again], n.Start-n.again.Start)
		}
		rest := n.End
		if !n.Superseded {
			level := r.Envelope.up(from[n], n.End-n.Start)
			rest += r.Envelope.above(level, r.AudibleDB)
			heard := r.Envelope.down(level, 0) > r.AudibleDB-1e-7
			v.Edge = v.Edge || heard && level != 1 && v.startNear(rest)
		}
		held = append(held, [2]time.Duration{n.Start, n.KeyUp})
		pedal = append(pedal, [2]time.Duration{n.Start, n.End})
		audible = append(audible, [2]time.Duration{n.Start, rest})
	}
	v.Held, v.Pedal, v.Audible = peak(held), peak(pedal), peak(audible)
	v.Unavoidable = unavoidable(pedal, r.Voices)
	v.Fewest = fewest(pedal, r.Voices)
}

// startNear tells whether a note starts where a tail is heard no more, give or
// take what the last bits of a level are in time.
func (v *Verdict) startNear(at time.Duration) bool {
	return slices.ContainsFunc(v.Notes, func(n *Note) bool { return max(n.Start-at, at-n.Start) <= 2 })
}

// depth is how many intervals hold the instant, their own ends left out.
func depth(list [][2]time.Duration, at time.Duration) int {
	n := 0
	for _, i := range list {
		if i[0] <= at && at < i[1] {
			n++
		}
	}
	return n
}

func peak(list [][2]time.Duration) int {
	most := 0
	for _, i := range list {
		most = max(most, depth(list, i[0]))
	}
	return most
}

// unavoidable is the time for which more sound than there are voices, each of
// the others counted: from one start or end to the next the depth is one.
func unavoidable(list [][2]time.Duration, voices int) time.Duration {
	var marks []time.Duration
	for _, i := range list {
		marks = append(marks, i[0], i[1])
	}
	sort.Slice(marks, func(i, j int) bool { return marks[i] < marks[j] })
	sum := time.Duration(0)
	for i := 1; i < len(marks); i++ {
		if over := depth(list, marks[i-1]) - voices; over > 0 {
			sum += time.Duration(over) * (marks[i] - marks[i-1])
		}
	}
	return sum
}

// fewest is how many notes at least are damaged: by start, and whenever more
// sound than there are voices, give up the one that ends last (Faigle & Nawijn
// 1995, Discrete Applied Mathematics 58; Carlisle & Lloyd 1995, DAM 59).
func fewest(list [][2]time.Duration, voices int) int {
	list = append([][2]time.Duration(nil), list...)
	sort.SliceStable(list, func(i, j int) bool { return list[i][0] < list[j][0] })
	given := 0
	var kept [][2]time.Duration
	for _, i := range list {
		if i[0] == i[1] {
			continue
		}
		kept = append(kept, i)
		if depth(kept, i[0]) <= voices {
			continue
		}
		last := 0
		for j := range kept {
			if kept[j][1] > kept[last][1] {
				last = j
			}
		}
		kept = append(kept[:last], kept[last+1:]...)
		given++
	}
	return given
}
