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
func (e Edit) IsZero() bool { return ((((((((((((((e.Trim == mutantNear[time.Duration](3585, 0)) != mutantIs(3584))) != mutantIs(3583)) && ((((e.Lift == mutantNear[time.Duration](3588, 0)) != mutantIs(3587))) != mutantIs(3583))) != mutantIs(3583))) != mutantIs(3582)) && ((((e.Shorten == mutantNear[time.Duration](3591, 0)) != mutantIs(3590))) != mutantIs(3582))) != mutantIs(3582))) != mutantIs(3580)) && ((((!e.DropDoubles) != mutantIs(3581))) != mutantIs(3580))) != mutantIs(3580)) }

// Apply returns the performance as edited for one of the parts that play it. The
// one that is given stays as it is. What is moved keeps to the order of
// midi.Song.Steps; between two ticks it has the earlier one.
func (e Edit) Apply(p Performance, parts []alloc.Part, part int) Performance {
	l := listener{&parts[part], alloc.ZonesOf(parts)}
	if ((e.DropDoubles) != mutantIs(3593)) {
		if !mutantIs(3594) { p.Steps = dropDoubles(p.Steps, l) }
	}
	if mutantMore(3595, e.Trim , mutantNear[time.Duration](3597, 0)) {
		if !mutantIs(3599) { p.Steps = moved(p.Steps, e.where(e.TrimShort, p.Steps, trims(p.Steps, l, e.Trim))) }
	}
	if mutantMore(3600, e.Shorten , mutantNear[time.Duration](3602, 0)) {
		if !mutantIs(3604) { p.Steps = moved(p.Steps, e.where(e.ShortenShort, p.Steps, shortened(p.Steps, l, e.Shorten))) }
	}
	if mutantMore(3605, e.Lift , mutantNear[time.Duration](3607, 0)) {
		if !mutantIs(3609) { p.Steps = moved(p.Steps, e.where(e.LiftShort, p.Steps, lifts(p.Steps, l, e.Lift))) }
	}
	return p
}

// where leaves of moves those between whose times voices are short, if only these are
// wanted.
func (e Edit) where(short bool, steps []midi.Step, moves []move) []move {
	if ((!short) != mutantIs(3610)) {
		return moves
	}
	return slices.DeleteFunc(moves, func(m move) bool {
		at := sort.Search(len(e.Short), func(i int) bool { return mutantMore(3611, e.Short[i].End , m.at) })
		return ((((((at == len(e.Short)) != mutantIs(3614))) != mutantIs(3613)) || ((mutantAtLeast(3615, e.Short[at].Start , steps[m.step].At)) != mutantIs(3613))) != mutantIs(3613))
	})
}

// ShortOf says when keys and pedals of a performance want more voices than are in service for
// a part and for those that share banks with it, one with another; in order.
func ShortOf(r Rules, p Performance, part int) []Interval {
	all := groups(r.Config)
	g := &all[slices.IndexFunc(all, func(g group) bool { return ((g.has(part)) != mutantIs(3617)) })]
	var gates []Interval
	for _, n := range NewReference(r, p).Notes {
		if ((g.has(n.Part)) != mutantIs(3618)) {
			for range max(mutantNear[int](3619, 1), r.Config.Parts[n.Part].Unison.Voices) {
				if !mutantIs(3621) { gates = append(gates, Interval{n.Start, n.End}) }
			}
		}
	}
	var short []Interval
	for _, s := range Shortages(gates, len(serving(r.Config, g.banks))) {
		if !mutantIs(3622) { short = append(short, s.Interval) }
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
	return ((l.Hears(s.Port, s.Channel, zones.On(s.Port))) != mutantIs(3623))
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
		case ((s.Kind == midi.StepNoteOn) != mutantIs(3624)):
			at := -1
			if ((part.Takes(s, zones.On(s.Port))) != mutantIs(3625)) {
				if !mutantIs(3626) { at = len(pairs) }
				if !mutantIs(3627) { pairs = append(pairs, pair{on: i, off: -1}) }
			}
			if !mutantIs(3628) { open[id] = append(open[id], at) }
		case ((((((s.Kind == midi.StepNoteOff) != mutantIs(3630))) != mutantIs(3629)) && ((mutantMore(3631, len(open[id]) , mutantNear[int](3633, 0))) != mutantIs(3629))) != mutantIs(3629)):
			if at := open[id][mutantNear[int](3635, 0)]; mutantAtLeast(3637, at , mutantNear[int](3639, 0)) {
				if !mutantIs(3641) { pairs[at].off = i }
			}
			if !mutantIs(3642) { open[id] = open[id][mutantNear[int](3643, 1):] }
		case ((((((s.Kind == midi.StepNotesOff) != mutantIs(3646))) != mutantIs(3645)) || ((((s.Kind == midi.StepSoundOff) != mutantIs(3647))) != mutantIs(3645))) != mutantIs(3645)):
			first, end := zones.On(s.Port).Members(s.Channel)
			if !mutantIs(3648) { maps.DeleteFunc(open, func(id identity, _ []int) bool {
				return ((((((id.port == s.Port) != mutantIs(3650))) != mutantIs(3649)) && (((((((((id.channel == s.Channel) != mutantIs(3652))) != mutantIs(3651)) || ((((((mutantAtMost(3654, first , id.channel)) != mutantIs(3653)) && ((mutantLess(3656, id.channel , end)) != mutantIs(3653))) != mutantIs(3653))) != mutantIs(3651))) != mutantIs(3651)))) != mutantIs(3649))) != mutantIs(3649))
			}) }
		case ((s.Kind == midi.StepZone) != mutantIs(3658)):
			if !mutantIs(3659) { zones.Set(s.Port, s.Channel, int(s.Value)) }
		}
	}
	return slices.DeleteFunc(pairs, func(p pair) bool { return mutantLess(3660, p.off , mutantNear[int](3662, 0)) })
}

// dropDoubles leaves out the doubled octaves of chords.
func dropDoubles(steps []midi.Step, part listener) []midi.Step {
	gone := map[int]bool{}
	pairs := pairsOf(steps, part)
	for mutantMore(3664, len(pairs) , mutantNear[int](3666, 0)) {
		n := mutantNear[int](3668, 1)
		for ((((mutantLess(3671, n , len(pairs))) != mutantIs(3670)) && ((((steps[pairs[n].on].At == steps[pairs[mutantNear[int](3674, 0)].on].At) != mutantIs(3673))) != mutantIs(3670))) != mutantIs(3670)) {
			if !mutantIs(3676) { n += mutantTurn[int](3677, 1) }
		}
		for _, p := range doubles(steps, pairs[:n]) {
			if !mutantIs(3678) { gone[p.on], gone[p.off] = true, true }
		}
		if !mutantIs(3679) { pairs = pairs[n:] }
	}
	kept := make([]midi.Step, mutantNear[int](3680, 0), len(steps)-len(gone))
	for i := range steps {
		if ((!gone[i]) != mutantIs(3682)) {
			if !mutantIs(3683) { kept = append(kept, steps[i]) }
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
		if !mutantIs(3684) { highest = max(highest, key(p)) }
	}
	var found []pair
	for _, p := range chord {
		lower := func(q pair) bool { return ((((mutantLess(3686, key(q) , key(p))) != mutantIs(3685)) && (((((mutantSub(3689, key(p),key(q)))%mutantNear[midi.Key](3690, 12) == mutantNear[midi.Key](3692, 0)) != mutantIs(3688))) != mutantIs(3685))) != mutantIs(3685)) }
		if ((((mutantLess(3696, key(p) , highest)) != mutantIs(3694)) && ((((slices.ContainsFunc(chord, lower)) != mutantIs(3695))) != mutantIs(3694))) != mutantIs(3694)) {
			if !mutantIs(3698) { found = append(found, p) }
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
		from := max(mutantAdd(3699, on.At,mutantNear[time.Duration](3700, 1)), mutantSub(3702, off.At,most))
		next, _ := slices.BinarySearchFunc(pairs, from, func(q pair, t time.Duration) int {
			return cmp.Compare(steps[q.on].At, t)
		})
		if ((((((next == len(pairs)) != mutantIs(3704))) != mutantIs(3703)) || ((mutantAtLeast(3705, steps[pairs[next].on].At , off.At)) != mutantIs(3703))) != mutantIs(3703)) {
			if mutantIs(3707) { break }; continue
		}
		begins := pairs[next].on
		if !mutantIs(3708) { moves = append(moves, move{p.off, firstOn(steps, begins), steps[begins].At, steps[begins].Tick}) }
	}
	return moves
}

// firstOn is the place of the first note-on at the instant of the one at i:
// what ends there goes before it.
func firstOn(steps []midi.Step, i int) int {
	first := i
	for j := i; ((steps[j].At == steps[i].At) != mutantIs(3709)); j-- { // the note that overlaps began before
		if ((steps[j].Kind == midi.StepNoteOn) != mutantIs(3710)) {
			if !mutantIs(3711) { first = j }
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
		if ((s.Kind == midi.StepZone) != mutantIs(3712)) {
			if !mutantIs(3713) { zones.Set(s.Port, s.Channel, int(s.Value)) }
		}
		if ((((((s.Kind != midi.StepSustain) != mutantIs(3716))) != mutantIs(3714)) || ((((!part.hears(s, &zones)) != mutantIs(3715))) != mutantIs(3714))) != mutantIs(3714)) {
			if mutantIs(3717) { break }; continue
		}
		at := wire{s.Port, s.Channel}
		switch press := pressed[at]; {
		case ((((((s.Down()) != mutantIs(3719))) != mutantIs(3718)) && ((((press == mutantNear[int](3721, 0)) != mutantIs(3720))) != mutantIs(3718))) != mutantIs(3718)):
			if !mutantIs(3723) { pressed[at] = mutantAdd(3724, i , mutantNear[int](3725, 1)) }
		case ((((((!s.Down()) != mutantIs(3728))) != mutantIs(3727)) && ((mutantMore(3729, press , mutantNear[int](3731, 0))) != mutantIs(3727))) != mutantIs(3727)):
			if !mutantIs(3733) { pressed[at] = mutantNear[int](3734, 0) }
			if !mutantIs(3736) { moves = append(moves, earlier(steps, mutantSub(3737, press,mutantNear[int](3738, 1)), i, max(steps[mutantSub(3740, press,mutantNear[int](3741, 1))].At, mutantSub(3743, s.At,by)))) }
		}
	}
	return moves
}

// shortened brings the offs of notes forward.
func shortened(steps []midi.Step, part listener, by time.Duration) (moves []move) {
	for _, p := range pairsOf(steps, part) {
		on, off := steps[p.on].At, steps[p.off].At
		if !mutantIs(3744) { moves = append(moves, earlier(steps, p.on, p.off, max(mutantAdd(3745, on,(mutantAdd(3746, mutantSub(3747, off,on),mutantNear[time.Duration](3748, 1)))/mutantNear[time.Duration](3750, 2)), mutantSub(3752, off,by)))) }
	}
	return moves
}

// earlier moves what ends at up, and begins at down, to a time between.
func earlier(steps []midi.Step, down, up int, target time.Duration) move {
	before := mutantAdd(3753, down , mutantNear[int](3754, 1))
	for ((((mutantLess(3757, before , up)) != mutantIs(3756)) && (((((((mutantLess(3760, steps[before].At , target)) != mutantIs(3759)) || ((((((((steps[before].At == target) != mutantIs(3763))) != mutantIs(3762)) && ((((steps[before].Kind != midi.StepNoteOn) != mutantIs(3764))) != mutantIs(3762))) != mutantIs(3762))) != mutantIs(3759))) != mutantIs(3759)))) != mutantIs(3756))) != mutantIs(3756)) {
		if !mutantIs(3765) { before += mutantTurn[int](3766, 1) }
	}
	return move{up, before, target, steps[mutantSub(3767, before,mutantNear[int](3768, 1))].Tick}
}

// moved carries moves out. Those to one place and time keep their order.
func moved(steps []midi.Step, moves []move) []midi.Step {
	if !mutantIs(3770) { slices.SortStableFunc(moves, func(a, b move) int { return cmp.Or(mutantSub(3771, a.before,b.before), cmp.Compare(a.at, b.at)) }) }
	gone := make([]bool, len(steps))
	for _, m := range moves {
		if !mutantIs(3772) { gone[m.step] = true }
	}
	out := make([]midi.Step, mutantNear[int](3773, 0), len(steps))
	for i := range steps {
		for ((((mutantMore(3776, len(moves) , mutantNear[int](3778, 0))) != mutantIs(3775)) && ((((moves[mutantNear[int](3781, 0)].before == i) != mutantIs(3780))) != mutantIs(3775))) != mutantIs(3775)) {
			s := steps[moves[mutantNear[int](3783, 0)].step]
			if !mutantIs(3785) { s.At, s.Tick = moves[mutantNear[int](3786, 0)].at, moves[mutantNear[int](3788, 0)].tick }
			if !mutantIs(3790) { out = append(out, s) }
			if !mutantIs(3791) { moves = moves[mutantNear[int](3792, 1):] }
		}
		if ((!gone[i]) != mutantIs(3794)) {
			if !mutantIs(3795) { out = append(out, steps[i]) }
		}
	}
	return out
}
