package slow

import (
	"math"
	"time"

	"choirloft/alloc"
)

// rising is the level of an envelope since after its gate went high, when it
// stood at from: toward 1.3 × full with time constant A/ln(1.3/0.3), stopped
// at full; then exponential toward sustain, the distance falling by 60 dB, a
// thousandfold, in D. doubt says that full is reached so near to this instant
// that rounding decides what comes of a decay of no length.
func rising(e alloc.Envelope, from float64, since time.Duration) (level float64, doubt bool) {
	full := 0.0 // seconds until full
	if from < 1 && e.Attack > 0 {
		tau := e.Attack.Seconds() / math.Log(1.3/0.3)
		full = tau * math.Log((1.3-from)/0.3)
		if from == 0 {
			full = e.Attack.Seconds() // which is what the logarithm means
		}
		doubt = e.Decay == 0 && e.Sustain < 1 && from > 0 && math.Abs(since.Seconds()-full) < 1e-12
		if since.Seconds() < full {
			return 1.3 - (1.3-from)*math.Exp(-since.Seconds()/tau), doubt
		}
	}
	if e.Decay == 0 {
		return e.Sustain, doubt
	}
	return e.Sustain + (1-e.Sustain)*math.Pow(10, -3*(since.Seconds()-full)/e.Decay.Seconds()), doubt
}

// fallingDB is the level of a tail since after its gate went low at from dB.
func fallingDB(e alloc.Envelope, from float64, since time.Duration) float64 {
	if e.Release == 0 {
		return math.Inf(-1)
	}
	return from - 60*float64(since)/float64(e.Release)
}

// silentAfter is how long a tail lasts that starts at from dB: until the first
// nanosecond at which its level is at or below free dB.
func silentAfter(e alloc.Envelope, from, free float64) time.Duration {
	if from <= free || e.Release == 0 {
		return 0
	}
	return time.Duration(math.Ceil(float64(e.Release) * (from - free) / 60))
}
