package routing

import (
	"slices"

	"choirloft/routing/stray"
)

// Cause is what moves the pitch of a voice away from what is asked.
type Cause uint8

// The causes, in the order of the way from converter to ear.
const (
	Rounding     Cause = iota // to steps of the converter
	Gain                      // of the interface
	Zero                      // its offset
	Bow                       // its non-linearity
	Settling                  // of a CV that its gate does not wait for
	Clamping                  // at the end of the CV range
	Loading                   // against the load at calibration, or when the voice was measured
	Added                     // by the normal of a pitch input, to what is plugged in
	Scaled                    // by an attenuator, an offset or an inverter on the way
	BufferGain                // of a multiple or another amplifier on the way
	BufferOffset              //
	Tracking                  // of the oscillator
	Remains                   // of a correction
	Drift                     // between tuning and playing; where it was told apart, the voice's own
	CommonDrift               // by which all voices move alike
	Temperature               // of an oscillator without compensation
)

var causeNames = [...]string{
	Rounding: "step", Gain: "gain", Zero: "offset", Bow: "non-linearity", Settling: "settling", Clamping: "clamping", Loading: "load", Added: "normal", Scaled: "module",
	BufferGain: "multiple gain", BufferOffset: "multiple offset", Tracking: "tracking", Remains: "correction", Drift: "drift", CommonDrift: "common drift", Temperature: "temperature",
}

// String is the stable name of a cause.
func (c Cause) String() string { return causeNames[c] }

// Basis says how well a term is known.
type Basis uint8

// What a term rests on, the best first.
const (
	Measured Basis = iota // readings say it
	Given                 // the rig says it
	Assumed               // nobody says it
)

var basisNames = [...]string{Measured: "measured", Given: "given", Assumed: "assumed"}

// String is the stable name of a basis.
func (b Basis) String() string { return basisNames[b] }

// Term is what one cause does to the pitch of a voice at a key, in cents.
type Term struct {
	Cause Cause
	stray.Error
	Basis Basis
	// Source is the key of the rig that says it, or would; of what was measured the
	// correction.
	Source string
}

// Budget is how far the pitch of a voice may stray from what is asked, at the key
// it plays where that is furthest.
type Budget struct {
	Key   int // MIDI key
	Terms []Term
	// Unknown are causes that nobody gave or measured, and of which nothing can be
	// assumed: the sums then are of what is known alone.
	Unknown []Term
}

// sum is what some terms come to.
func sum(terms []Term) (s stray.Sum) {
	for _, t := range terms {
		s = append(s, t.Error)
	}
	return s
}

// Worst is within what 99.9 % of the errors are, in cents.
func (b *Budget) Worst() float64 { return sum(b.Terms).Worst() }

// Likely is what 95 % of the errors stay within, in cents. It takes about 1 ms.
func (b *Budget) Likely() float64 { return sum(b.Terms).Likely() }

// Shift is what is known to move it, in cents, with its sign.
func (b *Budget) Shift() (cents float64) {
	for _, t := range b.Terms {
		if t.Law == stray.Shift {
			cents += t.Size
		}
	}
	return cents
}

// RMS is the root of the mean square of the errors, in cents.
func (b *Budget) RMS() float64 { return sum(b.Terms).RMS() }

// Assumed tells whether anything in it was neither given nor measured.
func (b *Budget) Assumed() bool { return len(b.Unknown) > 0 || assumed(b.Terms) }

func assumed(terms []Term) bool { return basisOf(terms) == Assumed }

// basisOf is the weakest of some terms.
func basisOf(terms []Term) (b Basis) {
	for _, t := range terms {
		b = max(b, t.Basis)
	}
	return b
}

// Known is the worst of what is not assumed.
func (b *Budget) Known() float64 {
	return sum(slices.DeleteFunc(slices.Clone(b.Terms), func(t Term) bool { return t.Basis == Assumed })).Worst()
}

// Stray is what some causes do together, in cents: 0 or more.
type Stray struct {
	Worst   float64 // see [Budget.Worst]
	Sigma   float64 // see [Budget.RMS]
	Basis   Basis   // the weakest of them
	Assumed bool    // that is Assumed
	Counted bool    // there is such a cause at all
}

// Of is what some causes do.
func (b *Budget) Of(causes ...Cause) Stray {
	terms := of(b.Terms, causes...)
	s := sum(terms)
	return Stray{s.Worst(), s.RMS(), basisOf(terms), assumed(terms), len(terms) > 0}
}

// of are the terms of some causes.
func of(terms []Term, causes ...Cause) (some []Term) {
	for _, t := range terms {
		for _, c := range causes {
			if t.Cause == c {
				some = append(some, t)
			}
		}
	}
	return some
}
