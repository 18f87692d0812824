package opinion

import (
	"math"
	"time"
)

// Envelope is attack, decay, sustain and release of every voice. The attack goes
// toward 1.3 of full and stops at full; the decay comes to -60 dB of its distance
// in Decay; the release falls by 60 dB in T60, in a straight line of decibels.
// (The shape of an analog envelope generator, common practice; 60 dB are 6.91
// time constants: J. O. Smith, Mathematics of the DFT, "Audio Decay Time".)
type Envelope struct {
	Attack, Decay, T60 time.Duration
	Sustain            float64 // of full
}

// up is the level so long after an attack that began at level from.
func (e Envelope) up(from float64, since time.Duration) float64 {
	full := 0.0 // seconds until full
	if e.Attack > 0 {
		tau := e.Attack.Seconds() / math.Log(1.3/0.3)
		full = tau * math.Log((1.3-from)/0.3)
		if since.Seconds() < full {
			return from - (1.3-from)*math.Expm1(-since.Seconds()/tau)
		}
	}
	if e.Decay == 0 {
		return e.Sustain
	}
	return e.Sustain + (1-e.Sustain)*math.Pow(1000, -(since.Seconds()-full)/e.Decay.Seconds())
}

// down is the level in decibels so long after a gate went low at level from.
func (e Envelope) down(from float64, since time.Duration) float64 {
	if e.T60 == 0 || from == 0 {
		return math.Inf(-1)
	}
	return 20*math.Log10(from) - 60*float64(since)/float64(e.T60)
}

// above says how long a tail stays above a floor in decibels: until the first
// nanosecond at which it does not.
func (e Envelope) above(from, floor float64) time.Duration {
	if e.down(from, 0) <= floor {
		return 0
	}
	return time.Duration(math.Ceil((20*math.Log10(from) - floor) * float64(e.T60) / 60))
}

func decibels(level float64) float64 { return 20 * math.Log10(level) }
