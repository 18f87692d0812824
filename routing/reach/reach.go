// Package reach compares the pitches that a song asks for, bend and detune
// included, with those that the windows of interfaces reach: what is missed,
// where, and which octave or zero key would mend it. [Parts] and [Interfaces]
// do it.
//
// It knows what a replay asked for; it plays nothing itself.
package reach

import (
	"math"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/routing"
)

// Range is what some notes ask for and what their voices reach.
type Range struct {
	Notes           int // 0 leaves the rest empty
	LowKey, HighKey int // sounding, without bend and detune; they may lie outside of 0–127
	Low, High       float64
	// Window is what all the voices reach that may play them.
	Window alloc.Window

	Missed     int     // notes that were clamped, folded or dropped for their pitch
	WorstCents float64 // by which one missed, with its sign
	Bars       []Bar   // where, ascending
	// Octaves is the smallest shift of the notes by whole octaves that fits them
	// all, 0 where they fit; nil where none does.
	Octaves *int
	// Shift is by how many semitones the zero key must move, as little as it can,
	// so that they all fit: 0 where they fit; nil where no zero key does.
	Shift *int
	// ZeroKey is the key at 0 V with which all that is played on the interface fits, where
	// it does not now and such a key is one: of an interface, and of a part whose voices are
	// all on that. Nobody has played it so.
	ZeroKey *Rekey
}

// Rekey is another key at 0 V for an interface.
type Rekey struct {
	Interface int // index into Rig.Interfaces
	Key       int // 0–127
}

// Bar is what was missed in one bar.
type Bar struct {
	Bar        int // from 1
	Notes      int
	WorstCents float64
}

// Keys is how many keys there are from the lowest to the highest.
func (r *Range) Keys() int { return r.HighKey - r.LowKey + 1 }

// WindowKeys are the lowest and the highest key that the window reaches. They
// are cut at ±1000, past any key that can be asked for.
func (r *Range) WindowKeys() (low, high int) {
	return int(math.Ceil(max(r.Window.Low, -1000))), int(math.Floor(min(r.Window.High, 1000)))
}

// Parts returns the range of each part.
func Parts(cfg *alloc.Config, played *study.Replay, meter *midi.MeterMap) []Range {
	all := make([]Range, len(cfg.Parts))
	for i := range all {
		all[i] = rangeOf(cfg, played, meter, func(part int) bool { return part == i })
		all[i].fit(window(cfg, func(v int) bool { return slices.Contains(cfg.Parts[i].Banks, cfg.Voices[v].Bank) }))
	}
	return all
}

// Interfaces returns for each interface the range of all the parts that have a
// voice in service on it, and these parts.
func Interfaces(m *routing.Map, cfg *alloc.Config, played *study.Replay, meter *midi.MeterMap) (ranges []Range, parts [][]int) {
	for at := range m.Rig.Interfaces {
		var on []int
		for p := range cfg.Parts {
			if slices.ContainsFunc(m.Voices, func(v routing.Voice) bool {
				return v.Interface == at && cfg.Voices[v.Voice].State.InService() && slices.Contains(cfg.Parts[p].Banks, cfg.Voices[v.Voice].Bank)
			}) {
				on = append(on, p)
			}
		}
		r := rangeOf(cfg, played, meter, func(part int) bool { return slices.Contains(on, part) })
		r.fit(window(cfg, func(v int) bool { return m.Voices[v].Interface == at }))
		box := &m.Rig.Interfaces[at]
		if r.Missed > 0 && r.Shift != nil && *r.Shift != 0 && box.ZeroKey+*r.Shift >= 0 && box.ZeroKey+*r.Shift < 128 {
			r.ZeroKey = &Rekey{at, box.ZeroKey + *r.Shift}
		}
		ranges, parts = append(ranges, r), append(parts, on)
	}
	return ranges, parts
}

// rangeOf gathers what the notes of some parts asked for.
func rangeOf(cfg *alloc.Config, played *study.Replay, meter *midi.MeterMap, of func(part int) bool) Range {
	r := Range{LowKey: math.MaxInt, HighKey: math.MinInt, Low: math.Inf(1), High: math.Inf(-1)}
	for i := range played.Reference.Notes {
		n, o := &played.Reference.Notes[i], &played.Outcomes[i]
		if !of(n.Part) {
			continue
		}
		r.Notes++
		r.LowKey, r.HighKey = min(r.LowKey, n.Sounding), max(r.HighKey, n.Sounding)
		low, high := o.Low, o.High
		if low > high { // it never came to sound
			low, high = float64(n.Sounding), float64(n.Sounding)
		}
		r.Low, r.High = min(r.Low, low), max(r.High, high)
		if o.Missed != 0 || o.Cause == alloc.CauseRange && o.Ending == study.Dropped {
			r.miss(meter.Position(n.Tick).Bar, o.Missed)
		}
	}
	if r.Notes == 0 {
		return Range{}
	}
	return r
}

// miss counts a note that was not given the pitch it asked for.
func (r *Range) miss(bar int, cents float64) {
	r.Missed++
	if n := len(r.Bars); n == 0 || r.Bars[n-1].Bar != bar {
		r.Bars = append(r.Bars, Bar{Bar: bar})
	}
	last := &r.Bars[len(r.Bars)-1]
	last.Notes++
	last.WorstCents, r.WorstCents = further(last.WorstCents, cents), further(r.WorstCents, cents)
}

func further(a, b float64) float64 {
	if math.Abs(b) > math.Abs(a) {
		return b
	}
	return a
}

// fit says how the notes fit a window.
func (r *Range) fit(w alloc.Window) {
	r.Window = w
	if r.Notes == 0 || !w.Bounded {
		return
	}
	// A window that moves by k reaches Low if w.Low + k ≤ Low, and High likewise.
	r.Shift = nearest(r.High-w.High, r.Low-w.Low, 1)
	if up := nearest(w.Low-r.Low, w.High-r.High, 12); up != nil {
		octaves := *up / 12
		r.Octaves = &octaves
	}
}

// slack forgives what arithmetic adds to a whole semitone.
const slack = 1e-9

// nearest is the multiple of step from least to most that is nearest to 0, nil
// where there is none.
func nearest(least, most float64, step int) *int {
	low := step * int(math.Ceil((least-slack)/float64(step)))
	high := step * int(math.Floor((most+slack)/float64(step)))
	if low > high || math.IsInf(least, 0) || math.IsInf(most, 0) {
		return nil
	}
	k := min(max(0, low), high)
	return &k
}

// window is what all those voices in service reach.
func window(cfg *alloc.Config, of func(voice int) bool) alloc.Window {
	w := alloc.Window{Low: math.Inf(-1), High: math.Inf(1)}
	for i := range cfg.Voices {
		v := &cfg.Voices[i]
		if v.Window.Bounded && v.State.InService() && of(i) {
			w = alloc.Window{Bounded: true, Low: max(w.Low, v.Window.Low), High: min(w.High, v.Window.High)}
		}
	}
	if !w.Bounded {
		return alloc.Window{}
	}
	return w
}
