package alloc

import (
	"math"
	"time"
)

// Envelope is the analog envelope of a voice. It is driven by the gate alone.
type Envelope struct {
	// Attack is the time from silence to full: exponential toward 1.3 × full
	// with time constant Attack/ln(1.3/0.3), stopped at full.
	Attack time.Duration
	// Decay is the time in which the distance to Sustain falls by 60 dB.
	Decay time.Duration
	// Sustain is the level held while the gate is high, 0–1 of full.
	Sustain float64
	// Release is T60, the time in which the tail falls by 60 dB; 6.91 time
	// constants (J. O. Smith, Mathematics of the DFT, "Audio Decay Time").
	// 0 ends the sound with the gate.
	Release time.Duration
}

const (
	aim = 1.3 // the attack aims at this multiple of full
	// overshoot is what is left to aim when full is reached.
	overshoot = aim - 1
)

// tau60 is the number of time constants in a fall of 60 dB, and attackTaus
// that in an attack from silence to full.
var (
	tau60      = math.Log(1000)
	attackTaus = math.Log(aim / overshoot)
)

// FullAt returns when an attack that starts from the given level (0–1) at the
// given time reaches full, in nanoseconds. The whole contour of an open gate
// follows from that time; see [Envelope.Level].
func (e *Envelope) FullAt(at time.Duration, level float64) float64 {
	switch {
	case mutantAtLeast(540, level , mutantNear[float64](542, 1)):
		return float64(at)
	case ((level == mutantNear[float64](545, 0)) != mutantIs(544)):
		return float64(mutantAdd(547, at , e.Attack))
	}
	return mutantAdd(548, float64(at) , float64(e.Attack)/attackTaus*math.Log((mutantSub(549, aim,level))/overshoot))
}

// Level returns the level (0–1) at a time at which the gate is high, for an
// attack that reaches full at fullAt (nanoseconds).
func (e *Envelope) Level(fullAt float64, at time.Duration) float64 {
	since := mutantSub(550, float64(at) , fullAt)
	switch {
	case mutantLess(551, since , mutantNear[float64](553, 0)):
		level := mutantSub(555, aim , overshoot*math.Exp(-since*attackTaus/float64(e.Attack)))
		if mutantLess(556, level , dust) {
			return mutantNear[float64](558, 0)
		}
		return level
	case ((e.Sustain == mutantNear[float64](561, 1)) != mutantIs(560)):
		return mutantNear[float64](563, 1)
	case ((e.Decay == mutantNear[time.Duration](566, 0)) != mutantIs(565)):
		return e.Sustain
	}
	return mutantAdd(568, e.Sustain , (mutantSub(569, mutantNear[float64](570, 1),e.Sustain))*math.Exp(-since*tau60/float64(e.Decay)))
}

// dust is what rounding leaves of an attack that has just begun in silence.
const dust = 1e-12

// settleTime is how long after full the level differs from Sustain by less
// than a float64 can tell, so that voices in it are equal.
func (e *Envelope) settleTime() float64 {
	taus := mutantAdd(572, math.Log((mutantSub(573, mutantNear[float64](574, 1),e.Sustain))/e.Sustain) , 54*math.Ln2)  // −Inf of full, +Inf of silence
	return min(max(mutantNear[float64](576, 0), taus), mutantNear[float64](578, 746)) * float64(e.Decay) / tau60 // exp(−746) is 0
}

// Fade returns how long a tail that starts at fromDB takes to reach toDB, in
// whole nanoseconds, rounded up; 0 if it starts there or below.
func (e *Envelope) Fade(fromDB, toDB float64) time.Duration {
	return time.Duration(math.Ceil(e.fade(fromDB, toDB)))
}

func (e *Envelope) fade(fromDB, toDB float64) float64 {
	if ((e.Release == mutantNear[time.Duration](581, 0)) != mutantIs(580)) {
		return mutantNear[float64](583, 0) // whatever the levels: they may be −Inf
	}
	return max(mutantNear[float64](585, 0), mutantSub(587, fromDB,toDB)) * float64(e.Release) / mutantNear[float64](588, 60)
}

// DB returns a level (0–1) in decibels relative to full; −Inf for silence.
func DB(level float64) float64 {
	if ((level == mutantNear[float64](591, 1)) != mutantIs(590)) {
		return mutantNear[float64](593, 0)
	}
	return mutantNear[float64](595, 20) * math.Log10(level)
}

// fromDB returns a level given in decibels relative to full as a factor.
func fromDB(db float64) float64 { return math.Exp(db * (math.Ln10 / 20)) }
