package detune

import (
	"fmt"
	"math"
)

const (
	// LockLimit is the gap in cents below which two oscillators of one module
	// may pull each other into lock. Common practice ("about 2 cents"), assumed.
	LockLimit Cents = 2
	// slack forgives rounding where a gap meets a limit, in cents.
	slack = 1e-9
)

// Scatter is how far one voice strays from its detune: standard deviations in
// cents, 0 or more, independent of each other. The zero value strays nowhere.
type Scatter struct {
	Calibration Cents // residual after calibration
	Drift       Cents // with time and temperature
	LSB         Cents // of the converter's rounding, see RoundingScatter
	Path        Cents // of what stands between converter and voice
}

// RoundingScatter is the scatter of rounding to steps of so many cents: an
// error evenly distributed over ± half a step has the deviation step/√12.
func RoundingScatter(step Cents) Cents { return step / Cents(math.Sqrt(12)) }

// Sigma is the scatter of one voice in cents, √(σcal² + σdrift² + σlsb² + σpath²).
func (s Scatter) Sigma() Cents {
	return Cents(math.Hypot(math.Hypot(float64(s.Calibration), float64(s.Drift)), math.Hypot(float64(s.LSB), float64(s.Path))))
}

// MeanDifference is by how many cents two voices meant to be equal differ on
// average: 2/√π·σ = 1.128 σ, the mean size of a normal difference of deviation
// σ√2.
func (s Scatter) MeanDifference() Cents { return 2 / Cents(math.Sqrt(math.Pi)) * s.Sigma() }

// check refuses what is no deviation.
func (s Scatter) check() error {
	for _, d := range []Cents{s.Calibration, s.Drift, s.LSB, s.Path} {
		if !(d >= 0 && d <= widest) {
			return fmt.Errorf("found a tuning error of %g cents, want a number from 0", float64(d))
		}
	}
	return nil
}

// SwapChance is the chance that of two voices meant to be gap cents apart, each
// with a scatter of sigma cents, the lower one is in truth the higher:
// Φ(−gap/(σ√2)). It is ½ at no gap and 0 without scatter.
func SwapChance(gap, sigma Cents) float64 {
	if sigma == 0 {
		return 0
	}
	return normal(-float64(gap/sigma) / math.Sqrt2)
}

// normal is Φ, the share of a normal distribution below x deviations.
func normal(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// WarningCode names what a narrow gap may lead to.
type WarningCode uint8

// The warnings.
const (
	MaySwap WarningCode = iota // the closest neighbours lie less than 2σ apart
	MayLock                    // the closest neighbours of one module lie less than LockLimit apart
)

var warningNames = [...]string{MaySwap: "may-swap", MayLock: "may-lock"}

// String is the stable code.
func (c WarningCode) String() string {
	if int(c) < len(warningNames) {
		return warningNames[c]
	}
	return fmt.Sprintf("warning %d", uint8(c))
}

// Warning is about the closest pair of neighbours under a limit.
type Warning struct {
	Code      WarningCode
	Low, High int     // their positions; the lowest of several equally close
	Gap       Cents   // between them
	Limit     Cents   // what the gap is below: 2σ or LockLimit
	Pairs     int     // how many neighbours are below it, this pair among them
	Chance    float64 // of a swap, 0 to 0.5; 0 for MayLock
}

// Warnings looks for neighbours that lie too close, at most one warning a code,
// MaySwap first. Modules tells for every position which module its oscillator
// sits in; nil puts all in one. A stack wholly without detune is warned about
// too: only its owner knows whether that was meant. Errors are a detune or
// scatter that is no number in reach, and modules of another count.
func Warnings(stack []Cents, own Scatter, modules []int) ([]Warning, error) {
	if err := checkStack(stack); err != nil {
		return nil, err
	}
	if err := own.check(); err != nil {
		return nil, err
	}
	if modules == nil {
		modules = make([]int, len(stack))
	}
	if len(modules) != len(stack) {
		return nil, fmt.Errorf("found %d modules for %d voices, want one each", len(modules), len(stack))
	}
	sigma := own.Sigma()
	swap := Warning{Code: MaySwap, Limit: 2 * sigma}
	lock := Warning{Code: MayLock, Limit: LockLimit}
	below := map[int]int{} // module → its voice next below
	order := upwards(stack)
	for i, high := range order {
		if i > 0 {
			swap.meet(order[i-1], high, stack)
		}
		if low, ok := below[modules[high]]; ok {
			lock.meet(low, high, stack)
		}
		below[modules[high]] = high
	}
	swap.Chance = SwapChance(swap.Gap, sigma)
	return raised(swap, lock), nil
}

// meet counts a pair below the limit and keeps the closest.
func (w *Warning) meet(low, high int, stack []Cents) {
	gap := stack[high] - stack[low]
	if gap >= w.Limit-slack {
		return
	}
	if w.Pairs == 0 || gap < w.Gap-slack {
		w.Low, w.High, w.Gap = low, high, gap
	}
	w.Pairs++
}

func raised(all ...Warning) (kept []Warning) {
	for _, w := range all {
		if w.Pairs > 0 {
			kept = append(kept, w)
		}
	}
	return kept
}
