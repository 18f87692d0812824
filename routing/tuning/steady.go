package tuning

import (
	"fmt"
	"math"

	"choirloft/profiles/unit"
)

// NoTone is the error for a recording that has no steady tone, and says why.
type NoTone struct{ Why string }

func (e *NoTone) Error() string { return "no steady tone: " + e.Why }

func noTone(format string, args ...any) error { return &NoTone{fmt.Sprintf(format, args...)} }

const (
	frameSeconds = 0.05 // of a frame whose level is taken: more than a period of C1
	belowLoudest = 20.0 // dB: what is fainter than the loudest frame by more is not the tone
	edgeSeconds  = 0.05 // left out at either end: attack and release
	leastSeconds = 0.25 // of a tone that is judged
	mostSeconds  = 4.0  // that are judged, of the middle of the tone
	silence      = 1e-4 // level of the loudest frame, −80 dB of full scale
)

// steadyPart is the longest stretch of a recording that is loud enough, without
// its ends and without its mean, at most mostSeconds of its middle.
func steadyPart(r *Recording) ([]float64, error) {
	frame := max(1, int(frameSeconds*float64(r.Rate)))
	all := centred(r.Samples)
	levels := make([]float64, 0, len(all)/frame+1)
	loudest := 0.0
	for at := 0; at+frame <= len(all); at += frame {
		l := rms(all[at : at+frame])
		levels = append(levels, l)
		loudest = max(loudest, l)
	}
	if loudest < silence {
		return nil, noTone("it is silent, below -80 dB of full scale")
	}
	floor := loudest * math.Pow(10, -belowLoudest/20)
	from, to := longestRun(levels, floor)
	edge := int(edgeSeconds * float64(r.Rate))
	from, to = from*frame+edge, to*frame-edge
	if float64(to-from) < leastSeconds*float64(r.Rate) {
		return nil, noTone("it sounds for %s s without its ends, want %s s at least",
			unit.Fixed(max(0, float64(to-from)/float64(r.Rate)), 2), unit.Fixed(leastSeconds, 2))
	}
	if most := int(mostSeconds * float64(r.Rate)); to-from > most {
		from += (to - from - most) / 2
		to = from + most
	}
	return centred(all[from:to]), nil
}

func rms(s []float64) float64 {
	var sum float64
	for _, v := range s {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(s)))
}

// longestRun is the longest run of levels at or above the floor.
func longestRun(levels []float64, floor float64) (from, to int) {
	start := 0
	for i := 0; i <= len(levels); i++ {
		if i < len(levels) && levels[i] >= floor {
			continue
		}
		if i-start > to-from {
			from, to = start, i
		}
		start = i + 1
	}
	return from, to
}

// centred is a copy around its mean.
func centred(s []float64) []float64 {
	var mean float64
	for _, v := range s {
		mean += v
	}
	mean /= float64(len(s))
	out := make([]float64, len(s))
	for i, v := range s {
		out[i] = v - mean
	}
	return out
}
