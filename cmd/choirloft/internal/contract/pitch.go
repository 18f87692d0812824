package contract

import (
	"fmt"
	"math"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/profiles/unit"
	"choirloft/routing/reach"
)

// clamped tells whether a note missed its pitch.
func (b *builder) clamped(n *study.Note, o *study.Outcome) bool {
	return o.Missed != 0 && b.cfg.Parts[n.Part].OutOfRange != alloc.Fold
}

// newRange compares the keys of a part with those that every one of its voices
// can be driven to; nil for a part without notes.
func newRange(r *reach.Range, middleC int) *Range {
	if r.Notes == 0 {
		return nil
	}
	out := &Range{LowKey: r.LowKey, HighKey: r.HighKey, MissedCents: r.WorstCents, Missed: r.Missed, Bars: []RangeBar{}, middleC: middleC}
	for _, b := range r.Bars {
		out.Bars = append(out.Bars, RangeBar(b))
	}
	if r.Window.Bounded {
		low, high := r.WindowKeys()
		out.WindowLowKey, out.WindowHighKey = &low, &high
		out.OctavesToFit, out.ZeroKeyShift = r.Octaves, r.Shift
	}
	return out
}

// clampLine says which notes of a part missed their pitch, and what would
// help.
func (p *Part) clampLine() string {
	r := p.Range
	if p.Flags.Clamped == 0 || r == nil || r.WindowLowKey == nil {
		return ""
	}
	line := fmt.Sprintf("%s of %s out of reach by up to %s: it plays keys %s, the voltage window has %s",
		unit.Count(p.Flags.Clamped, "note"), p.Name, unit.Cents(math.Abs(r.MissedCents)),
		r.keys(r.LowKey, r.HighKey), r.keys(*r.WindowLowKey, *r.WindowHighKey))
	switch {
	case r.OctavesToFit == nil:
		return line + "; no octave shift fits them all"
	case *r.OctavesToFit > 0:
		return line + "; " + unit.Count(*r.OctavesToFit, "octave") + " up would fit"
	}
	return line + "; " + unit.Count(-*r.OctavesToFit, "octave") + " down would fit"
}

func (r *Range) keys(low, high int) string {
	return fmt.Sprintf("%s-%s (%d-%d)", KeyName(low, r.middleC), KeyName(high, r.middleC), low, high)
}

// stateNames are the standings of a voice.
var stateNames = [...]string{alloc.In: "in", alloc.Out: "out", alloc.Limited: "limited", alloc.Spare: "spare"}

// inService tells whether a voice may be picked.
