package hearing

import (
	"math"
	"slices"
	"time"

	"choirloft/alloc"
)

// A level in time is a sum of exponentials, and so is its square: with an attack
// of level 1.3 − 0.3·e^(−κt) the power is 1.69 − 0.78·e^(−κt) + 0.09·e^(−2κt). So
// all notes of an envelope that are in one phase fade, or rise, together: their
// sum is a few rows, each of which shrinks by one factor, however many they are.

// phase is what an envelope does.
type phase uint8

const (
	silent  phase = iota
	rising        // attack
	holding       // decay and sustain
	fading        // release
)

// aim is what an attack aims at, in multiples of full, which it leaves by
// overshoot; see alloc.Envelope.
const (
	aim       = 1.3
	overshoot = aim - 1
)

// Rates come in fives: an envelope's attack and twice it, its decay and twice it,
// its release. The rate at 0 is 0, for all that stays.
const (
	attackRate = iota
	attackTwice
	decayRate
	decayTwice
	tailRate
	ratesEach
)

// shape is an envelope, ready to be worked with. Rates are per second.
type shape struct {
	alloc.Envelope
	first  int // of its rates
	attack float64
	rises  float64 // power of an attack that lasts no longer than a step: its mean, of full
	flat   bool    // it has such an attack and then stays at its level
	holds  float64 // power of the level that it decays to, of full
	decay  float64
	tail   float64
}

// shapesOf returns the shapes by part and the rates of them all.
func shapesOf(envelopes []alloc.Envelope) (shapes []shape, rates []float64) {
	rates = []float64{0}
	var known []alloc.Envelope
	for _, e := range envelopes {
		s := shape{Envelope: e, holds: float64(e.Sustain * e.Sustain)}
		if e.Attack > 0 {
			s.attack = log(aim/overshoot) / seconds(e.Attack)
		}
		if e.Attack <= step {
			s.rises = meanRise
		}
		s.flat = s.rises > 0 && s.level()
		if e.Decay > 0 {
			s.decay = log(1000) / seconds(e.Decay)
		}
		if e.Release > 0 {
			s.tail = 2 * log(1000) / seconds(e.Release)
		}
		at := slices.Index(known, e)
		if at < 0 {
			at = len(known)
			known = append(known, e)
			rates = append(rates, s.attack, 2*s.attack, s.decay, 2*s.decay, s.tail)
		}
		s.first = 1 + at*ratesEach
		shapes = append(shapes, s)
	}
	return shapes, rates
}

// contour is the level of one voice of a note in time.
type contour struct {
	*shape
	tone  *tone
	gain  float64       // of power, by velocity
	full  time.Duration // its attack reaches full
	low   time.Duration // its gate goes low
	stop  time.Duration // its tail ends, where its key is struck again
	after float64       // power at low, of full
}

// level tells whether a gate stays at its level after the attack.
func (s *shape) level() bool { return s.Sustain == 1 || s.Decay == 0 }

// end completes a contour whose times are known.
func (c *contour) end() {
	c.after = c.power(c.gate(c.low), c.low)
	if c.low < c.full && c.rises > 0 {
		level := aim - float64(overshoot*exp(float64(c.attack*seconds(c.full-c.low))))
		c.after = float64(level * level)
	}
}

// gate is the phase at a time at which the gate is high.
func (c *contour) gate(t time.Duration) phase {
	if t < c.full {
		return rising
	}
	return holding
}

// phase is that at a time from its start on.
func (c *contour) phase(t time.Duration) phase {
	switch {
	case t < c.low:
		return c.gate(t)
	case t < c.stop && c.Release > 0:
		return fading
	}
	return silent
}

// meanRise is the mean power of a whole attack, from silence, of full. Over its time,
// 1, the level is 1.3 − 1.3·e^(−kt) with k = ln(1.3 ÷ 0.3).
var meanRise = func() float64 {
	k := log(aim / overshoot)
	once, twice := (1-overshoot/aim)/k, (1-float64((overshoot/aim)*(overshoot/aim)))/(2*k) // of e^(−kt), e^(−2kt)
	return float64(aim * aim * (1 - float64(2*once) + twice))
}()

// term is a power that changes by e^(−rate·t).
type term struct {
	rate  int
	power float64
}

// terms are what the power of full is made of.
type terms struct {
	n  int
	of [3]term
}

// terms returns those at a time, in a phase.
func (c *contour) terms(p phase, t time.Duration) terms {
	since := seconds(t - c.full)
	switch {
	case p == rising && c.rises > 0:
		return terms{1, [3]term{{0, c.rises}}}
	case p == rising:
		e := float64(overshoot * exp(float64(-c.attack*since)))
		return terms{3, [3]term{{0, aim * aim}, {c.first + attackRate, float64(-2 * aim * e)},
			{c.first + attackTwice, float64(e * e)}}}
	case p == fading:
		return terms{1, [3]term{{c.first + tailRate, c.fade(t)}}}
	case p == holding && c.level():
		return terms{1, [3]term{{0, c.holds}}}
	case p == holding:
		e := float64((1 - c.Sustain) * exp(float64(-c.decay*since)))
		return terms{3, [3]term{{0, c.holds}, {c.first + decayRate, float64(2 * c.Sustain * e)},
			{c.first + decayTwice, float64(e * e)}}}
	}
	return terms{}
}

// fade is the power of the tail, of full.
func (c *contour) fade(t time.Duration) float64 {
	return float64(c.after * exp(float64(-c.tail*seconds(t-c.low))))
}

// power is that of full at a time, in a phase.
func (c *contour) power(p phase, t time.Duration) float64 {
	switch {
	case p == fading:
		return c.fade(t)
	case p == holding && c.Sustain == 1:
		return 1
	}
	x := c.terms(p, t)
	return max(0, x.of[0].power+x.of[1].power+x.of[2].power)
}

// seconds is a time as a number.
func seconds(t time.Duration) float64 { return float64(t) / 1e9 }

// never is after every song.
const never = time.Duration(math.MaxInt64)
