package recorded

import (
	"cmp"
	"math"
	"slices"

	"choirloft/profiles"
	"choirloft/routing/take"
)

// What tells one state from another; shares are of the power that is heard.
const (
	settle     = 0.08 // seconds that a note is left to settle
	leastHeard = -45. // dB against the median voice: below is silence
	byShares   = 0.1  // by which another state must explain more than that all is well
	leastShare = 0.4
	leastOther = 0.03 // of another voice that sounds besides
	stuckLevel = -30. // dB against the median voice
	stuckShare = 0.2
	stuckSlots = 0.7 // of the slots of others
)

// segment is the steady part of one note of a slot.
type segment struct {
	note *take.Note
	spec *spectrum
}

// slot is what is heard in the slot of one voice.
type slot struct {
	part     *take.Part
	segments []segment
	rest     *spectrum // the end of its fade
}

// drone is a tone that sounds all the time: a voice that is stuck.
type drone struct {
	part  int
	hertz float64
}

// slots reads the spectra of all slots.
func (r *reader) slots() ([]slot, error) {
	all := make([]slot, len(r.take.Parts))
	for i := range all {
		s := &all[i]
		s.part = &r.take.Parts[i]
		for j := range s.part.Notes {
			n := &s.part.Notes[j]
			if n.Kind != take.Reading && n.Kind != take.Bent && n.Kind != take.Fade {
				continue
			}
			spec, err := r.spectrum(n.At.Seconds()+settle, n.End().Seconds())
			if err != nil {
				return nil, err
			}
			s.segments = append(s.segments, segment{n, spec})
		}
		var err error
		if s.rest, err = r.spectrum(s.part.To.Seconds()-0.5, s.part.To.Seconds()-0.05); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// spectrum is that between two times of the take.
func (r *reader) spectrum(from, to float64) (*spectrum, error) {
	x, _, err := r.piece(r.clock.at(from), r.clock.at(to))
	if err != nil {
		return nil, err
	}
	return r.spectra.of(x), nil
}

// power is the median of what is heard in the notes of a slot.
func (s *slot) power() float64 {
	all := make([]weighted, len(s.segments))
	for i := range all {
		all[i] = weighted{s.segments[i].spec.total, 1}
	}
	return median(all)
}

// judge finds the state of each voice.
func (r *reader) judge(slots []slot) []Voice {
	powers := make([]weighted, len(slots))
	for i := range slots {
		powers[i] = weighted{slots[i].power(), 1}
	}
	r.loud = median(powers)
	r.findDrones(slots)
	states := make([]guess, len(slots))
	for i := range slots {
		for _, d := range r.drones {
			if d.part != i {
				slots[i].leaveOut(d.hertz)
			}
		}
		states[i] = r.state(slots, i, -1)
	}
	r.permute(slots, states)
	voices := make([]Voice, len(slots))
	for i := range states {
		voices[i] = states[i].Voice
	}
	return voices
}

// doubtfulPlace is the most confidence in a voice that is said to sound where another
// one does too: cables that are swapped make a permutation.
const doubtfulPlace = 0.3

// permute sees to it that of voices that are crossed none sounds in two places: of two
// slots the one that another state explains about as well gets that, and what still sounds
// twice, in its own place or another's, is doubtful.
func (r *reader) permute(slots []slot, states []guess) {
	claims := map[int]int{} // the slot in which a voice is said to sound, the surest
	order := make([]int, len(states))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(states[b].share, states[a].share) })
	for _, i := range order {
		if states[i].State == OK {
			claims[states[i].Voice.Voice] = i
		}
	}
	for _, i := range order {
		s := &states[i]
		if s.State != Crossed {
			continue
		}
		if _, taken := claims[s.With]; !taken {
			claims[s.With] = i
			continue
		}
		if other := r.state(slots, i, s.With); other.share >= s.share-byShares && other.State != Crossed {
			*s = other
		}
		s.Confidence = math.Min(s.Confidence, doubtfulPlace)
	}
}

func (s *slot) leaveOut(hertz float64) {
	for i := range s.segments {
		s.segments[i].spec = s.segments[i].spec.without(hertz)
	}
}

// findDrones finds the voices whose parking key sounds at the end of most slots of
// others.
func (r *reader) findDrones(slots []slot) {
	for i := range slots {
		var found []weighted
		others := 0
		for j := range slots {
			if j == i {
				continue
			}
			others++
			c := slots[j].rest.comb(r.hertz(float64(slots[i].part.Parking)))
			if c.share >= stuckShare && decibels(c.power, r.loud) >= stuckLevel {
				found = append(found, weighted{c.hertz, 1})
			}
		}
		if others > 1 && float64(len(found)) >= stuckSlots*float64(others) {
			r.drones = append(r.drones, drone{i, median(found)})
		}
	}
}

func decibels(power, against float64) float64 { return 10 * math.Log10(power/against) }

// guess is a state, and the share of the sound that it explains.
type guess struct {
	Voice
	share float64
}

// state finds the state of the voice of a slot, but that it is crossed with one voice; −1
// leaves none out.
func (r *reader) state(slots []slot, at, without int) guess {
	s := &slots[at]
	blank := Voice{Voice: s.part.Voice, With: -1, Confidence: 1}
	if slices.ContainsFunc(r.drones, func(d drone) bool { return d.part == at }) {
		blank.State = Stuck
		return guess{blank, 1}
	}
	if !(decibels(s.power(), r.loud) >= leastHeard) || !s.above() {
		blank.State = Silent
		return guess{blank, 1}
	}
	guesses := slices.DeleteFunc(r.guesses(slots, at, blank), func(g guess) bool { return without >= 0 && g.State == Crossed && g.With == without })
	ok := guesses[0]
	slices.SortStableFunc(guesses, func(a, b guess) int { return cmp.Compare(b.share, a.share) })
	best := guesses[0]
	if ok.share >= best.share-byShares {
		best = ok
	}
	if best.share < leastShare && r.faint(s) {
		blank.State, blank.Confidence = Silent, 1-best.share
		return guess{blank, 1}
	}
	for _, g := range guesses {
		if g.State != best.State || g.With != best.With || g.Octaves != best.Octaves {
			best.Confidence = math.Max(0, math.Min(1, 2*(best.share-g.share)))
			break
		}
	}
	if best.State == OK || best.State == Crossed {
		r.besides(slots, at, &best.Voice)
	}
	return best
}

// above tells whether what sounds stands above the noise.
func (s *slot) above() bool {
	n := 0
	for _, g := range s.segments {
		if width := float64(g.spec.high - g.spec.low); g.spec.total > 0.2*g.spec.noise*width {
			n++
		}
	}
	return 2*n > len(s.segments)
}

// faint tells whether no note of a slot sounds like more than what is left of others.
func (r *reader) faint(s *slot) bool { return decibels(s.power(), r.loud) < -25 }

// guesses are all that is looked for, that all is well first.
func (r *reader) guesses(slots []slot, at int, blank Voice) []guess {
	s := &slots[at]
	list := []guess{{blank, r.share(s, own)}}
	for _, octaves := range []int{-2, -1, 1, 2} {
		g := blank
		g.State, g.Octaves = Octave, octaves
		list = append(list, guess{g, r.share(s, func(n *take.Note) float64 { return own(n) + float64(12*octaves) })})
	}
	for j := range slots {
		if j != at {
			g := blank
			g.State, g.With = Crossed, slots[j].part.Voice
			list = append(list, guess{g, r.share(s, func(*take.Note) float64 { return float64(slots[j].part.Parking) })})
		}
	}
	if zero, ok := r.zero(s.part.Voice); ok {
		g := blank
		g.State = Unplugged
		list = append(list, guess{g, r.share(s, func(*take.Note) float64 { return zero })})
	}
	return list
}

// share is how much of what is heard in a slot lies where a guess expects it: the mean
// over its notes.
func (r *reader) share(s *slot, key func(*take.Note) float64) float64 {
	sum := 0.0
	for _, g := range s.segments {
		sum += g.spec.comb(r.hertz(key(g.note))).share
	}
	return sum / float64(len(s.segments))
}

// zero is the key that a voice sounds at when nothing is in its pitch jack: that of 0 V.
func (r *reader) zero(voice int) (float64, bool) {
	l := r.take.Plan.Map.Voices[voice].Lane("pitch")
	f := &r.take.Plan.Rig.Interfaces[l.Interface]
	return float64(f.ZeroKey), f.Scale != (profiles.Scale{}) && !f.Scale.HertzPerVolt()
}

// own is the key that a note asks for.
func own(n *take.Note) float64 { return float64(n.Key) + n.Bend }

// besides finds out whether another voice sounds too: beside one in its place any that
// parks; beside one that seems crossed, for the other is the louder, the one in its place.
func (r *reader) besides(slots []slot, at int, v *Voice) {
	s := &slots[at]
	best, with := 0.0, -1
	for j := range slots {
		if j == at || v.State == Crossed && slots[j].part.Voice != v.With {
			continue
		}
		first, second := own, func(*take.Note) float64 { return float64(slots[j].part.Parking) }
		if v.State == Crossed {
			first, second = second, first
		}
		if share := r.also(s, first, second); share > best {
			best, with = share, slots[j].part.Voice
		}
	}
	if best >= leastOther {
		v.State, v.With, v.Confidence = Doubled, with, math.Min(1, best/leastOther/4)
	}
}

// also is the share of what is heard that lies on a second tone, where that explains most
// of what a first one leaves: the median over the notes of a slot.
func (r *reader) also(s *slot, first, second func(*take.Note) float64) float64 {
	const most = 0.5
	all := make([]weighted, len(s.segments))
	for i, g := range s.segments {
		rest := g.spec
		if c := g.spec.comb(r.hertz(first(g.note))); c.power > 0 {
			rest = g.spec.without(c.hertz)
		}
		c := rest.comb(r.hertz(second(g.note)))
		if c.share < most {
			c.power = 0
		}
		all[i] = weighted{c.power / g.spec.total, 1}
	}
	return median(all)
}
