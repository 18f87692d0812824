package contract

import (
	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/routing/reach"
)

// clamped tells whether a note missed its pitch.
func (b *builder) clamped(n *study.Note, o *study.Outcome) bool {
	return o.Missed != 0 && b.cfg.Parts[n.Part].OutOfRange != alloc.Fold
}

// newRange compares the keys of a part with those that every one of its voices
// can be driven to; nil for a part without notes.
func newRange(r *reach.Range) *Range {
	if r.Notes == 0 {
		return nil
	}
	out := &Range{LowKey: r.LowKey, HighKey: r.HighKey, MissedCents: r.WorstCents, Missed: r.Missed, Bars: []RangeBar{}}
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

// stateNames are the standings of a voice.
var stateNames = [...]string{alloc.In: "in", alloc.Out: "out", alloc.Limited: "limited", alloc.Spare: "spare"}

// inService tells whether a voice may be picked.
