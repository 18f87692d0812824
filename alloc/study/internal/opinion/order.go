package opinion

import "slices"

// inOrder puts what happens at one instant in order: everything but note-ons as
// it stands in the file, then the note-ons as they stand. Of the offs of a key,
// as many as it had ons open when the instant began come with the first; a
// further one stays right after the on that it follows in the file, whose note
// has no length.
//
// Reading: an instant is a tick, also where two ticks round to one nanosecond.
// The on that a further off follows is the nearest that has no off yet, so that
// on, on, off, off is two notes without length. On, on, off counts as one, though
// the key, once more down than up, may sound on where ons and offs are counted.
func inOrder(events []event) []event {
	var out []event
	open := map[ident]int{}
	for len(events) > 0 {
		n := 1
		for n < len(events) && events[n].tick == events[0].tick {
			n++
		}
		out = append(out, together(events[:n], open)...)
		events = events[n:]
	}
	return out
}

// together orders one instant. Open counts the ons of every key that no off has
// answered.
func together(events []event, open map[ident]int) []event {
	var first, ons []event
	for _, e := range events {
		switch {
		case e.kind == on:
			ons = append(ons, e)
		case e.kind == off && open[e.key()] == 0 && lastOn(e.key(), ons) >= 0:
			i := lastOn(e.key(), ons)
			ons[i].zero = true
			ons = slices.Insert(ons, i+1, e)
		case e.kind == off:
			first = append(first, e)
			open[e.key()] = max(0, open[e.key()]-1)
		default:
			first = append(first, e)
			// Reading: a mode message clears what was open also for the offs behind it
			// at its own instant. They then belong to the ons of this instant.
			forget(open, e)
		}
	}
	for _, e := range ons {
		if e.kind == on {
			open[e.key()]++
		} else {
			open[e.key()] = max(0, open[e.key()]-1)
		}
	}
	return append(first, ons...)
}

// lastOn is the last on of a key that has no off yet, or -1.
func lastOn(k ident, events []event) int {
	for i := len(events) - 1; i >= 0; i-- {
		if e := events[i]; e.kind == on && e.key() == k && !e.zero {
			return i
		}
	}
	return -1
}

// forget clears the counts of a mode message's channel.
func forget(open map[ident]int, e event) {
	if !e.clearsKeys() {
		return
	}
	for k := range open {
		if k.line() == e.line() {
			delete(open, k)
		}
	}
}
