package study

import (
	"cmp"
	"maps"
	"slices"
	"sort"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Edit changes what a part is given to play, as its player could, or whoever
// edits the file. The zero Edit changes nothing.
//
// It acts on what the part hears: the notes on its channels, in its keys and
// velocities, and the sustain pedal of its channels. Another part that hears
// the same gets the same.
type Edit struct {
	// Trim ends a note where the next note of the part begins, if it overlaps
	// that by no more than this: legato is played detached. At least 0.
	Trim time.Duration
	// Lift brings every release of the sustain pedal forward by this, but no
	// further than to its press. At least 0.
	Lift time.Duration
	// Shorten ends every note sooner by this, but none before half of its length. At least 0.
	Shorten time.Duration
	// TrimShort, LiftShort and ShortenShort leave what is changed to where voices are short: to
	// what would sound in one of Short but for the edit.
	TrimShort, LiftShort, ShortenShort bool
	Short                              []Interval // in order, without overlap
	// DropDoubles leaves out what doubles a lower note in octaves, of notes
	// that begin at one instant, but never the highest of them.
	DropDoubles bool
}

// IsZero tells whether it changes nothing.
func (e Edit) IsZero() bool { return e.Trim == 0 && e.Lift == 0 && e.Shorten == 0 && !e.DropDoubles }

// Apply returns the performance as edited for one of the parts that play it. The
// one that is given stays as it is. What is moved keeps to the order of
// midi.Song.Steps; between two ticks it has the earlier one.
func (e Edit) Apply(p Performance, parts []alloc.Part, part int) Performance {
	l := listener{&parts[part], alloc.ZonesOf(parts)}
	if e.DropDoubles {
		p.Steps = dropDoubles(p.Steps, l)
	}
	if e.Trim > 0 {
		p.Steps = moved(p.Steps, e.where(e.TrimShort, p.Steps, trims(p.Steps, l, e.Trim)))
	}
	if e.Shorten > 0 {
		p.Steps = moved(p.Steps, e.where(e.ShortenShort, p.Steps, shortened(p.Steps, l, e.Shorten)))
	}
	if e.Lift > 0 {
		p.Steps = moved(p.Steps, e.where(e.LiftShort, p.Steps, lifts(p.Steps, l, e.Lift)))
	}
	return p
}

// where leaves of moves those between whose times voices are short, if only these are
// wanted.
func (e Edit) where(short bool, steps []midi.Step, moves []move) []move {
	if !short {
		return moves
	}
	return slices.DeleteFunc(moves, func(m move) bool {
		at := sort.Search(len(e.Short), func(i int) bool { return e.Short[i].End > m.at })
		return at == len(e.Short) || e.Short[at].Start >= steps[m.step].At
	})
}

// ShortOf says when keys and pedals of a performance want more voices than are in service for
// a part and for those that share banks with it, one with another; in order.
func ShortOf(r Rules, p Performance, part int) []Interval {
	all := groups(r.Config)
	g := &all[slices.IndexFunc(all, func(g group) bool { return g.has(part) })]
	var gates []Interval
	for _, n := range NewReference(r, p).Notes {
		if g.has(n.Part) {
			for range max(1, r.Config.Parts[n.Part].Unison.Voices) {
				gates = append(gates, Interval{n.Start, n.End})
			}
		}
	}
	var short []Interval
	for _, s := range Shortages(gates, len(serving(r.Config, g.banks))) {
		short = append(short, s.Interval)
	}
	return short
}

// listener is a part, and the zones that the parts begin with.
type listener struct {
	*alloc.Part
	begin []midi.Zone
}

// hears tells whether a part listens to the channel of a step.
func (l listener) hears(s *midi.Step, zones *midi.Zones) bool {
	return l.Hears(s.Port, s.Channel, zones.On(s.Port))
}

// pair is a note in a list of steps: the places of its on and of its off.
type pair struct{ on, off int }

// pairsOf finds the notes of a part that have an off, in the order of their
// ons. Of one key's notes the first off ends the first, wherever zones put its
// channel meanwhile; a mode message ends all of its channel, and of the members if
// that manages a zone, which then have none.
func pairsOf(steps []midi.Step, part listener) []pair {
	type identity struct {
		port    midi.Port
		channel midi.Channel
		key     midi.Key
	}
	var pairs []pair
	zones := midi.NewZones(part.begin)
	open := map[identity][]int{} // places in pairs; −1 for a note that is not the part's
	for i := range steps {
		s := &steps[i]
		id := identity{s.Port, s.Channel, s.Key}
		switch {
		case s.Kind == midi.StepNoteOn:
			at := -1
			if part.Takes(s, zones.On(s.Port)) {
				at = len(pairs)
				pairs = append(pairs, pair{on: i, off: -1})
			}
			open[id] = append(open[id], at)
		case s.Kind == midi.StepNoteOff && len(open[id]) > 0:
			if at := open[id][0]; at >= 0 {
				pairs[at].off = i
			}
			open[id] = open[id][1:]
		case s.Kind == midi.StepNotesOff || s.Kind == midi.StepSoundOff:
			first, end := zones.On(s.Port).Members(s.Channel)
			maps.DeleteFunc(open, func(id identity, _ []int) bool {
				return id.port == s.Port && (id.channel == s.Channel || first <= id.channel && id.channel < end)
			})
		case s.Kind == midi.StepZone:
			zones.Set(s.Port, s.Channel, int(s.Value))
		}
	}
	return slices.DeleteFunc(pairs, func(p pair) bool { return p.off < 0 })
}

// dropDoubles leaves out the doubled octaves of chords.
func dropDoubles(steps []midi.Step, part listener) []midi.Step {
	gone := map[int]bool{}
	pairs := pairsOf(steps, part)
	for len(pairs) > 0 {
		n := 1
		for n < len(pairs) && steps[pairs[n].on].At == steps[pairs[0].on].At {
			n++
		}
		for _, p := range doubles(steps, pairs[:n]) {
			gone[p.on], gone[p.off] = true, true
		}
		pairs = pairs[n:]
	}
	kept := make([]midi.Step, 0, len(steps)-len(gone))
	for i := range steps {
		if !gone[i] {
			kept = append(kept, steps[i])
		}
	}
	return kept
}

// doubles finds the notes of a chord that stand octaves above a lower one,
// but for the highest.
func doubles(steps []midi.Step, chord []pair) []pair {
	key := func(p pair) midi.Key { return steps[p.on].Key }
	highest := midi.Key(0)
	for _, p := range chord {
		highest = max(highest, key(p))
	}
	var found []pair
	for _, p := range chord {
		lower := func(q pair) bool { return key(q) < key(p) && (key(p)-key(q))%12 == 0 }
		if key(p) < highest && slices.ContainsFunc(chord, lower) {
			found = append(found, p)
		}
	}
	return found
}

// move puts a step before another one, at a new time.
type move struct {
	step, before int
	at           time.Duration
	tick         midi.Tick
}

// trims finds the offs that come shortly after another note of the part has
// begun, and puts them where that begins.
func trims(steps []midi.Step, part listener, most time.Duration) []move {
	pairs := pairsOf(steps, part)
	var moves []move
	for _, p := range pairs {
		on, off := &steps[p.on], &steps[p.off]
		from := max(on.At+1, off.At-most)
		next, _ := slices.BinarySearchFunc(pairs, from, func(q pair, t time.Duration) int {
			return cmp.Compare(steps[q.on].At, t)
		})
		if next == len(pairs) || steps[pairs[next].on].At >= off.At {
			continue
		}
		begins := pairs[next].on
		moves = append(moves, move{p.off, firstOn(steps, begins), steps[begins].At, steps[begins].Tick})
	}
	return moves
}

// firstOn is the place of the first note-on at the instant of the one at i:
// what ends there goes before it.
func firstOn(steps []midi.Step, i int) int {
	first := i
	for j := i; steps[j].At == steps[i].At; j-- { // the note that overlaps began before
		if steps[j].Kind == midi.StepNoteOn {
			first = j
		}
	}
	return first
}

// lifts brings the releases of the sustain pedal forward.
func lifts(steps []midi.Step, part listener, by time.Duration) []move {
	type wire struct {
		port    midi.Port
		channel midi.Channel
	}
	pressed := map[wire]int{} // place of the press, plus 1
	var moves []move
	zones := midi.NewZones(part.begin)
	for i := range steps {
		s := &steps[i]
		if s.Kind == midi.StepZone {
			zones.Set(s.Port, s.Channel, int(s.Value))
		}
		if s.Kind != midi.StepSustain || !part.hears(s, &zones) {
			continue
		}
		at := wire{s.Port, s.Channel}
		switch press := pressed[at]; {
		case s.Down() && press == 0:
			pressed[at] = i + 1
		case !s.Down() && press > 0:
			pressed[at] = 0
			moves = append(moves, earlier(steps, press-1, i, max(steps[press-1].At, s.At-by)))
		}
	}
	return moves
}

// shortened brings the offs of notes forward.
func shortened(steps []midi.Step, part listener, by time.Duration) (moves []move) {
	for _, p := range pairsOf(steps, part) {
		on, off := steps[p.on].At, steps[p.off].At
		moves = append(moves, earlier(steps, p.on, p.off, max(on+(off-on+1)/2, off-by)))
	}
	return moves
}

// earlier moves what ends at up, and begins at down, to a time between.
func earlier(steps []midi.Step, down, up int, target time.Duration) move {
	before := down + 1
	for before < up && (steps[before].At < target || steps[before].At == target && steps[before].Kind != midi.StepNoteOn) {
		before++
	}
	return move{up, before, target, steps[before-1].Tick}
}

// moved carries moves out. Those to one place and time keep their order.
func moved(steps []midi.Step, moves []move) []midi.Step {
	slices.SortStableFunc(moves, func(a, b move) int { return cmp.Or(a.before-b.before, cmp.Compare(a.at, b.at)) })
	gone := make([]bool, len(steps))
	for _, m := range moves {
		gone[m.step] = true
	}
	out := make([]midi.Step, 0, len(steps))
	for i := range steps {
		for len(moves) > 0 && moves[0].before == i {
			s := steps[moves[0].step]
			s.At, s.Tick = moves[0].at, moves[0].tick
			out = append(out, s)
			moves = moves[1:]
		}
		if !gone[i] {
			out = append(out, steps[i])
		}
	}
	return out
}
