package detune

import (
	"fmt"
	"math"
)

const (
	// InStepDB is how far below all in step, in dB, a stack may be that counts as in step
	// again: the just noticeable change of a level. Our choice.
	InStepDB = 1
	// InStepWithin is how long a stack is watched, in seconds: longer than notes are held.
	InStepWithin Seconds = 30
	// mostLooks ends the watch over a stack that beats fast, at some ten hertz.
	mostLooks = 4000
)

// Course is what the sum of the fundamentals of equally loud voices does that begin in
// step; harmonic h does the same h times as fast.
type Course struct{ turns []float64 } // a second, against the first voice

// NewCourse is the course of a stack at a key whose pitch is f, the cents being those at
// that key. The error is that of [BeatsOf].
func NewCourse(stack []Cents, f Hertz) (*Course, error) {
	if !positive(f) {
		return nil, fmt.Errorf("found a pitch of %g Hz, want one above 0", float64(f))
	}
	if err := checkStack(stack); err != nil {
		return nil, err
	}
	c := &Course{make([]float64, len(stack))}
	for i := range stack {
		c.turns[i] = float64(beat(stack[0], stack[i], f))
	}
	return c, nil
}

// share is the amplitude as a share of all in step, from 0 to 1.
func (c *Course) share(t Seconds) float64 {
	var re, im float64
	for _, turns := range c.turns {
		sin, cos := math.Sincos(2 * math.Pi * turns * float64(t))
		re, im = re+cos, im+sin
	}
	return math.Hypot(re, im) / float64(len(c.turns))
}

// LevelDB is the level at a time, in dB below all in step: 0 or less, −∞ where the voices
// cancel.
func (c *Course) LevelDB(t Seconds) float64 { return 20 * math.Log10(c.share(t)) }

// InStep is when the stack is in step again first: the top of the first swell to within
// InStepDB of all in step, after it has been further down. Where there is none, ok is false,
// and the time is how long it was watched: InStepWithin, or less where it beats fast.
//
// The share changes a second by at most π times what the outermost voices turn against each
// other. A step of what is missing over that passes no swell, but for one that stands out by
// less than 0.06 dB, as no step is shorter than a thousandth of half such a turn.
func (c *Course) InStep() (t Seconds, ok bool) {
	const least = 1e-3
	limit, fastest := math.Pow(10, -InStepDB/20.0), c.fastest()
	if fastest < float64(Still) {
		return InStepWithin, false
	}
	step := func(missing float64) Seconds { return Seconds(max(missing/(2*math.Pi), least) / fastest) }
	away := false
	for range mostLooks {
		share := c.share(t)
		switch {
		case away && share >= limit:
			return c.top(t, Seconds(least/fastest)), true
		case share < limit:
			away = true
		}
		if t += step(math.Abs(limit - share)); t > InStepWithin {
			return InStepWithin, false
		}
	}
	return t, false
}

// fastest is the most that a voice turns a second against the middle of the outermost two.
func (c *Course) fastest() float64 {
	low, high := 0.0, 0.0
	for _, turns := range c.turns {
		low, high = min(low, turns), max(high, turns)
	}
	return (high - low) / 2
}

// top is that of a swell: uphill in steps, then between the two beside the highest.
func (c *Course) top(t, step Seconds) Seconds {
	for c.share(t+step) > c.share(t) {
		t += step
	}
	low, high := t-step, t+step
	for range 40 { // a third off each time
		third := (high - low) / 3
		if c.share(low+third) < c.share(high-third) {
			low += third
		} else {
			high -= third
		}
	}
	return (low + high) / 2
}
