package deal

import (
	"fmt"
	"math"
	"time"

	"choirloft/alloc/timing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// GlideStep is how far apart the bends of a glide are.
const GlideStep = 5 * time.Millisecond

// move bends from where the pitch is to that of an edge, from a tick on: at
// once, or in a glide that ends where the pitch moves anew.
func (b *laneWriter) move(e *timing.Edge, at midi.Tick, until time.Duration) {
	from := b.pitch
	b.pitch = e.Value
	if e.Glide > 0 && b.moved {
		for t := time.Duration(0); t < e.Glide && e.At+t < until; t += GlideStep {
			b.pitch = from + (e.Value-from)*float64(t)/float64(e.Glide)
			b.bend(max(at, b.before(e.At+t)))
		}
		if e.At+e.Glide >= until {
			return
		}
		b.pitch, at = e.Value, max(at, b.before(e.At+e.Glide))
	}
	b.moved = true
	b.bend(at)
}

func (b *laneWriter) bend(at midi.Tick) {
	b.Bends = append(b.Bends, Move{at, b.tune.Sent(b.pitch) - b.base})
}

// KeyOf is the key that a note is sent with: its own, moved by octaves where
// it was folded, or the nearest to a pitch that was clamped. What is outside
// of 0–127 is the end of that range, and the rest of it bend.
func KeyOf(e *timing.Edge) midi.Key {
	key := float64(e.Key)
	if e.Missed != 0 {
		if folded := math.Round(e.Missed / 1200); math.Abs(e.Missed-1200*folded) < 1e-6 {
			key += 12 * folded
		} else {
			key = math.Round(e.Value)
		}
	}
	return midi.Key(min(127, max(0, key)))
}

// Tuner says which pitch the interface of a voice has to be asked for.
type Tuner struct {
	rig     *profiles.Rig
	on      *profiles.Interface
	correct *profiles.Correction // nil where there is nothing to correct
	detune  float64              // semitones that the interface adds by itself
}

// NewTuner returns the tuner of a voice that has a home.
func NewTuner(p *plan.Plan, voice int, home Home) Tuner {
	t := Tuner{rig: p.Rig, on: &p.Rig.Interfaces[home.Interface]}
	if t.on.Tuning == profiles.TuningOwn {
		if seat, ok := p.Map.Voices[voice].Seat(); ok && seat.Fixed {
			t.detune = float64(seat.Detune) / 100
		}
		return t
	}
	for i := range t.rig.Corrections {
		if c := &t.rig.Corrections[i]; c.Voice == voice {
			t.correct = c
		}
	}
	return t
}

// Sent is the pitch to ask for, so that the voice has the one given.
func (t *Tuner) Sent(pitch float64) float64 {
	if t.correct != nil {
		if p := routing.CorrectedPitch(t.on, t.rig.A4, t.correct, pitch); !math.IsInf(p, 0) {
			return p
		}
	}
	return pitch - t.detune
}

// BendValue is the 14-bit value of a bend in semitones, 0–16383 with 8192 for
// none: 8192·(1 + bend/range), rounded. ok is false where the range does not
// cover it.
func BendValue(semitones float64, bendRange int) (value uint16, ok bool) {
	v := math.Round(8192 * (1 + semitones/float64(bendRange)))
	return uint16(min(16383, max(0, v))), v >= 0 && v <= 16383
}

// MostBend is the largest bend range that RPN 0 can say, in semitones.
const MostBend = 127

// chooseRange sets the bend range: that of the options, or the smallest whole
// one that covers every bend.
func (d *Deal) chooseRange() error {
	d.BendRange = max(1, d.options.BendRange)
	need, worst, where := d.BendRange, 0.0, ""
	for i := range d.Passes {
		for j := range d.Passes[i].Lanes {
			l := &d.Passes[i].Lanes[j]
			for _, m := range l.Bends {
				if _, ok := BendValue(m.Value, need); ok {
					continue
				}
				for ok := false; !ok; need++ {
					_, ok = BendValue(m.Value, need+1)
				}
				worst, where = m.Value, fmt.Sprintf("%s on %s", d.place(m.Tick), d.Plan.Rig.Voices[l.Voice].Name)
			}
		}
	}
	switch {
	case need > MostBend:
		return &Error{fmt.Sprintf("%s is bent by %s semitones, and a bend range is %d at most", where, unit.Fixed(worst, 1), MostBend),
			"legato over so many keys can be had by reattack: press, a long glide by glide: 0 ms"}
	case need > d.BendRange && d.options.BendRange > 0:
		return &Error{fmt.Sprintf("a bend range of %d covers not all: %s is bent by %s semitones", d.BendRange, where, unit.Fixed(worst, 2)),
			fmt.Sprintf("%d semitones cover every bend", need)}
	}
	d.BendRange = need
	return nil
}

// place names a tick by bar and time.
func (d *Deal) place(t midi.Tick) string {
	return fmt.Sprintf("bar %s (%s s)", d.Meter.Position(t), unit.Fixed(d.Tempo.At(t).Seconds(), 3))
}
