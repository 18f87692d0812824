package listen

import (
	"math"

	"choirloft/routing"
	"choirloft/routing/plan"
)

// tuning is by how much a voice is off, in semitones.
type tuning struct {
	error float64
	swing float64 // of a drift that goes to and fro
	turn  float64 // in turns a second
	phase float64 // in turns
}

// middleC is the key at which the errors are taken.
const middleC = 60

// tunings draws how far each voice is off, by its number: the same voice is off by
// the same in every version and every song. The error is that which a correction
// leaves, with that of buffers on the way, by their standard deviations at middle C. Half the
// variance of the drift stands still, half goes to and fro once in 30 to 90 s.
func tunings(p *plan.Plan) []tuning {
	list := make([]tuning, len(p.Rig.Voices))
	for i := range list {
		still := 0.0
		if b := p.Map.At(i, middleC); b != nil {
			left := b.Of(routing.Remains, routing.BufferGain, routing.BufferOffset).Sigma
			still = float64(left * left)
		}
		own, _ := p.Map.Scatter(i, middleC)
		drift := float64(own.Drift)
		still += float64(float64(drift*drift) / 2)
		d := draws(i + 1)
		list[i] = tuning{error: float64(math.Sqrt(still)*d.normal()) / 100, swing: drift / 100,
			turn: 1 / (30 + float64(60*d.unit())), phase: d.unit()}
	}
	return list
}

// at is by how many semitones the voice is off at a time in seconds.
func (t *tuning) at(seconds float64) float64 {
	if t.swing == 0 {
		return t.error
	}
	return t.error + float64(t.swing*sine(t.phase+float64(seconds*t.turn)))
}

// pan is the left and the right part of a voice that stands somewhere from −1 to 1:
// of constant power.
func pan(at float64) (left, right float64) {
	turns := float64((at + 1) / 8)
	return sine(0.25 - turns), sine(turns)
}

// panOf is where a voice stands that plays a part: in the middle where the map has no
// place for it.
func panOf(p *plan.Plan, voice, part int) float64 {
	for _, s := range p.Map.Voices[voice].Seats {
		if p.Origin[s.Part] == part && s.Fixed {
			return float64(s.Pan)
		}
	}
	return 0
}
