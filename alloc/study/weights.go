package study

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"time"

	"choirloft/alloc"
)

// FullWeight is the weight of a note that nothing lifts or lowers: velocity
// 127, full level, an inner voice, in a part of priority 1. The smallest weight
// of a note is 1, so weights are exact to some 0.00001 of a full note.
const FullWeight Weight = 100_000

// Notes returns the weight in full notes.
func (w Weight) Notes() float64 { return float64(w) / float64(FullWeight) }

// Weights says how audible it is that a note of a reference is damaged:
//
//	FullWeight · velocity/127 · peak level · (1 + outer) · 2^(1 − priority)
//
// rounded, and at least 1; 0 for a note without length, which cannot be
// damaged. All of it is common practice put into a formula, not a measurement:
//
//   - Velocity times level is what the stealing rule quietest compares. For a
//     whole note the level counts that its envelope comes to at best, so a
//     short stab under a slow attack weighs little.
//   - Outer is the share of the note, 0–1, for which it is the lowest or the
//     highest key that sounds in the banks its part plays on or shares: bass
//     and top are missed first, so an outer note counts as one 6 dB louder.
//     A note alone is both, and outer.
//   - Each step of priority below 1, the highest, counts as 6 dB softer.
//
// How long a note is does not matter: what is lost by time, least-lost says.
// More velocity, level, outer time or priority never makes a note weigh less.
// Voices matter by their envelopes alone (see [NewReference]). The weights are
// made once for a reference, so they must only be read.
func Weights(r Rules, ref *Reference) []Weight { return ref.ears.of(r.Config, ref).weights }

func weightsOf(cfg alloc.Config, ref *Reference) []Weight {
	outer := outerTimes(cfg, ref)
	weights := make([]Weight, len(ref.Notes))
	for i := range ref.Notes {
		n := &ref.Notes[i]
		if n.End == n.Start {
			continue
		}
		weight := float64(FullWeight) * float64(n.Velocity) / 127 * n.Peak *
			(1 + float64(outer[i])/float64(n.End-n.Start))
		weight = math.Ldexp(weight, 1-cfg.Parts[n.Part].Priority)
		weights[i] = max(1, Weight(math.Round(weight)))
	}
	return weights
}

// outerTimes returns for how long each note is the lowest or the highest key
// that sounds among the parts it shares banks with.
func outerTimes(cfg alloc.Config, ref *Reference) []time.Duration {
	groupOf := make([]int, len(cfg.Parts))
	all := groups(cfg)
	for n, g := range all {
		for _, p := range g.parts {
			groupOf[p] = n
		}
	}
	outer := make([]time.Duration, len(ref.Notes))
	stages := make([]outerKeys, len(all))
	for _, e := range startsAndEndsOf(ref) {
		n := &ref.Notes[e.note]
		k := &stages[groupOf[n.Part]]
		k.advance(e.at)
		key := keyAt(n.Sounding)
		if e.starts {
			k.change(key, 1)
			outer[e.note] = -k.outside[key]
		} else {
			k.change(key, -1)
			outer[e.note] += k.outside[key]
		}
	}
	return outer
}

// boundary is where a note starts or ends.
type boundary struct {
	at     time.Duration
	note   int32
	starts bool
}

func startsAndEndsOf(ref *Reference) []boundary {
	list := make([]boundary, 0, 2*len(ref.Notes))
	for i := range ref.Notes {
		if n := &ref.Notes[i]; n.End > n.Start {
			list = append(list, boundary{n.Start, int32(i), true}, boundary{n.End, int32(i), false})
		}
	}
	slices.SortFunc(list, func(a, b boundary) int { return cmp.Compare(a.at, b.at) })
	return list
}

// outerKeys follows which keys sound, and adds up for each key how long it has
// been the lowest or the highest of them.
type outerKeys struct {
	now     time.Duration
	open    [4 * 64]int // notes by key; transposed, keys lie in −48…175
	sounds  [4]uint64   // the keys of which any is open
	outside [4 * 64]time.Duration
}

// keyAt is where a key stands in outerKeys.
func keyAt(key int) int { return key + 48 }

// change lets n notes more, or fewer, sound on a key.
func (k *outerKeys) change(key, n int) {
	k.open[key] += n
	if bit := uint64(1) << (key & 63); k.open[key] > 0 {
		k.sounds[key>>6] |= bit
	} else {
		k.sounds[key>>6] &^= bit
	}
}

// advance lets the time pass.
func (k *outerKeys) advance(to time.Duration) {
	passed := to - k.now
	k.now = to
	low, high := -1, -1
	for w, word := range k.sounds {
		if word == 0 {
			continue
		}
		if low < 0 {
			low = w<<6 + bits.TrailingZeros64(word)
		}
		high = w<<6 + 63 - bits.LeadingZeros64(word)
	}
	if low < 0 || passed == 0 {
		return
	}
	k.outside[low] += passed
	if high != low {
		k.outside[high] += passed
	}
}
