package recorded

import (
	"math"
	"slices"

	"choirloft/routing/take"
)

// hearNotes finds at which key each note of a voice was heard: the one that its state
// expects, if it sounds, and in the roll calls any parking key. It is NaN where none is.
func (r *reader) hearNotes(v *Voice, s *slot) error {
	notes := s.part.Notes
	v.Heard = make([]float64, len(notes))
	for i := range notes {
		v.Heard[i] = math.NaN()
		switch n := &notes[i]; n.Kind {
		case take.RollCall, take.Again:
			heard, err := r.callHeard(v, n)
			if err != nil {
				return err
			}
			v.Heard[i] = heard
		case take.Gate:
			if n.Long.Seconds() >= v.Gate {
				v.Heard[i] = own(n) + float64(12*v.Octaves)
			}
		}
	}
	for _, g := range s.segments {
		key, ok := r.expected(v, g.note)
		if i := slices.IndexFunc(notes, func(n take.Note) bool { return n == *g.note }); ok && g.spec.comb(r.hertz(key)).share >= leastShare/2 {
			v.Heard[i] = key
		}
	}
	return nil
}

// expected is the key at which a note sounds if the state of its voice is right.
func (r *reader) expected(v *Voice, n *take.Note) (key float64, ok bool) {
	switch v.State {
	case Silent:
		return 0, false
	case Crossed:
		return r.parking(v.With)
	case Unplugged:
		return r.zero(v.Voice)
	}
	return own(n) + float64(12*v.Octaves), true
}

// parking is the key on which a voice rests.
func (r *reader) parking(voice int) (float64, bool) {
	for i := range r.take.Parts {
		if r.take.Parts[i].Voice == voice {
			return float64(r.take.Parts[i].Parking), true
		}
	}
	return 0, false
}

// callHeard is the key that sounds in a roll call: what the state of the voice expects, or
// else a parking key that has begun with it, for tails of others sound too; NaN for none.
func (r *reader) callHeard(v *Voice, n *take.Note) (float64, error) {
	const (
		before = 0.1
		begun  = 2 // times the power from before
	)
	at := n.At.Seconds()
	spec, err := r.spectrum(at+settle/2, n.End().Seconds())
	if err != nil {
		return 0, err
	}
	rest, err := r.spectrum(at-before, at-0.01)
	if err != nil {
		return 0, err
	}
	if key, ok := r.expected(v, n); ok && spec.comb(r.hertz(key)).share >= leastShare/2 {
		return key, nil
	}
	best, heard := leastShare/2, math.NaN()
	for i := range r.take.Parts {
		key := float64(r.take.Parts[i].Parking)
		if c := spec.comb(r.hertz(key)); c.share > best && c.power > begun*rest.comb(r.hertz(key)).power {
			best, heard = c.share, key
		}
	}
	return heard, nil
}
