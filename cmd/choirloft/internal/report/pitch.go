package report

import (
	"fmt"
	"math"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
)

// clamped tells whether a note missed its pitch.
func (b *builder) clamped(n *study.Note, o *study.Outcome) bool {
	return o.Missed != 0 && b.cfg.Parts[n.Part].OutOfRange != alloc.Fold
}

// rangeOf compares the keys of a part with those that every one of its voices
// can be driven to.
func (b *builder) rangeOf(part int) *Range {
	r := &Range{LowKey: math.MaxInt, HighKey: math.MinInt, middleC: int(b.rig.MiddleC)}
	for i := range b.replay.Reference.Notes {
		n, o := &b.replay.Reference.Notes[i], &b.replay.Outcomes[i]
		if n.Part != part {
			continue
		}
		r.LowKey, r.HighKey = min(r.LowKey, n.Sounding), max(r.HighKey, n.Sounding)
		if math.Abs(o.Missed) > math.Abs(r.MissedCents) {
			r.MissedCents = o.Missed
		}
	}
	if r.LowKey > r.HighKey {
		return nil
	}
	low, high, bounded := b.window(part)
	if !bounded {
		return r
	}
	r.WindowLowKey, r.WindowHighKey = &low, &high
	r.OctavesToFit = octavesToFit(r.LowKey, r.HighKey, low, high)
	return r
}

// window returns the keys that all voices of a part reach.
func (b *builder) window(part int) (low, high int, bounded bool) {
	l, h := math.Inf(-1), math.Inf(1)
	for i := range b.cfg.Voices {
		v := &b.cfg.Voices[i]
		if v.Window.Bounded && v.State.InService() && slices.Contains(b.cfg.Parts[part].Banks, v.Bank) {
			l, h, bounded = max(l, v.Window.Low), min(h, v.Window.High), true
		}
	}
	if !bounded {
		return 0, 0, false
	}
	// Keys past these limits are past any key that can be asked for.
	return int(math.Ceil(max(l, -1000))), int(math.Floor(min(h, 1000))), true
}

// octavesToFit returns the smallest number of octaves that moves the keys into
// the window, nil if none does.
func octavesToFit(low, high, windowLow, windowHigh int) *int {
	octaves := 0
	switch {
	case low < windowLow:
		octaves = (windowLow - low + 11) / 12
	case high > windowHigh:
		octaves = -((high - windowHigh + 11) / 12)
	}
	if low+12*octaves < windowLow || high+12*octaves > windowHigh {
		return nil
	}
	return &octaves
}

// clampLine says which notes of a part missed their pitch, and what would
// help.
func (p *Part) clampLine() string {
	r := p.Range
	if p.Flags.Clamped == 0 || r == nil || r.WindowLowKey == nil {
		return ""
	}
	line := fmt.Sprintf("%s of %s out of reach by up to %s: it plays keys %s, the voltage window has %s",
		Count(p.Flags.Clamped, "note"), p.Name, Cents(math.Abs(r.MissedCents)),
		r.keys(r.LowKey, r.HighKey), r.keys(*r.WindowLowKey, *r.WindowHighKey))
	switch {
	case r.OctavesToFit == nil:
		return line + "; no octave shift fits them all"
	case *r.OctavesToFit == 0:
		return line + "; the bends lead out of it"
	case *r.OctavesToFit > 0:
		return line + "; " + Count(*r.OctavesToFit, "octave") + " up would fit"
	}
	return line + "; " + Count(-*r.OctavesToFit, "octave") + " down would fit"
}

func (r *Range) keys(low, high int) string {
	return fmt.Sprintf("%s-%s (%d-%d)", keyName(low, r.middleC), keyName(high, r.middleC), low, high)
}

// Cents prints an interval to 0.1 cent.
func Cents(v float64) string { return tenths(v) + " cents" }

// stateNames are the standings of a voice.
var stateNames = [...]string{alloc.In: "in", alloc.Out: "out", alloc.Limited: "limited", alloc.Spare: "spare"}

// inService tells whether a voice may be picked.
