package recorded

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"choirloft/profiles/unit"
	"choirloft/routing/take"
)

// The rises of a recording: one value every hop, over bands of a third of an octave.
const (
	hops       = 100 // a second
	lowestBand = 63.0
	bandCount  = 20
	mostRise   = 3.0 // nepers of power that one band counts by
	apartPPM   = 300
	stepPPM    = 100
	// aside is how far from the best place another one begins, in hops.
	aside = 30
	// secondBest is the largest share of the best fit that another place may have.
	secondBest = 0.8
	// doubtful is the share beyond which a place is believed only if a voice answers there:
	// the right one has 0.3 or so.
	doubtful = 0.6
	// leastFit is how far the onsets of a take stand above the rest, in standard
	// deviations of a sum of as many values drawn from the recording.
	leastFit = 6.0
)

// clock says when in a recording a time of the take is: offset + rate·time.
type clock struct {
	offset float64 // seconds
	rate   float64
}

func (c clock) at(seconds float64) float64 { return c.offset + c.rate*seconds }

// rises is how much the bands of a recording rise, hop by hop.
func (r *reader) rises() ([]float64, error) {
	rate := float64(r.rate)
	size := 1
	for float64(size) < rate/25 {
		size *= 2
	}
	fft, window := fourier.NewFFT(size), r.spectra.hann(size)
	frames := int(float64(r.frames) / rate * hops)
	bands := make([][bandCount]float32, frames)
	of := bandsOf(size, rate)
	x, bins := make([]float64, size), make([]complex128, size/2+1)
	for i := range bands {
		if err := r.mix(x, int64(float64(i)/hops*rate)-int64(size/2)); err != nil {
			return nil, err
		}
		for j := range x {
			r.peak = math.Max(r.peak, math.Abs(x[j]))
			x[j] *= window[j]
		}
		bins = fft.Coefficients(bins, x)
		for k, band := range of {
			if band >= 0 {
				bands[i][band] += float32(real(bins[k])*real(bins[k]) + imag(bins[k])*imag(bins[k]))
			}
		}
	}
	return flux(bands), nil
}

// bandsOf are the bands of the bins of a transform; −1 for none.
func bandsOf(size int, rate float64) []int {
	of := make([]int, size/2+1)
	for k := range of {
		hertz := float64(k) * rate / float64(size)
		if of[k] = int(3 * math.Log2(hertz/lowestBand)); hertz < lowestBand || of[k] >= bandCount {
			of[k] = -1
		}
	}
	return of
}

// flux sums the rises of all bands over two hops, above the level that a band has a
// fifth of the time.
func flux(bands [][bandCount]float32) []float64 {
	out := make([]float64, len(bands))
	level := make([]float32, len(bands))
	for b := range bandCount {
		for i := range bands {
			level[i] = bands[i][b]
		}
		slices.Sort(level)
		floor := 2*float64(level[len(level)/5]) + 1e-12
		for i := 2; i < len(bands); i++ {
			rise := math.Log((float64(bands[i][b]) + floor) / (float64(bands[i-2][b]) + floor))
			out[i] += math.Min(mostRise, math.Max(0, rise))
		}
	}
	return out
}

// onsets are the times at which the notes of a take begin, in seconds.
func onsets(t *take.Take) (at []float64) {
	for i := range t.Parts {
		for _, n := range t.Parts[i].Notes {
			at = append(at, n.At.Seconds())
		}
	}
	slices.Sort(at)
	return at
}

// place finds where in a recording the take is, to a hop.
func (r *reader) place() error {
	if r.wide == nil {
		rises, err := r.rises()
		if err != nil {
			return err
		}
		r.wide = widest(rises)
	}
	if r.peak < silence {
		return refuse("nothing sounds in the recording: look at its input and its channel", "")
	}
	wide := r.wide
	mean, sd := moments(wide)
	at := onsets(r.take)
	last := int(at[len(at)-1] * hops)
	best, fits := clock{}, make([]float64, len(wide)+last)
	top, where := math.Inf(-1), 0
	for ppm := -apartPPM; ppm <= apartPPM; ppm += stepPPM {
		if err := r.ctx.Err(); err != nil {
			return err
		}
		rate := 1 + float64(ppm)*1e-6
		for shift := range fits {
			from, fit := shift-last, 0.0
			for _, t := range at {
				if i := from + int(t*rate*hops+0.5); i >= 0 && i < len(wide) {
					fit += wide[i] - mean
				}
			}
			fits[shift] = math.Max(fits[shift], fit)
			if fit > top {
				top, where, best = fit, shift, clock{float64(from) / hops, rate}
			}
		}
	}
	second := 0.0
	for shift, fit := range fits {
		if shift < where-aside || shift > where+aside {
			second = math.Max(second, fit)
		}
	}
	r.clock, r.second = best, second/top
	r.fit = top / (sd * math.Sqrt(float64(len(at))))
	return r.placed()
}

const notFollowing = "the recording does not follow the take: it is music, another take, or one of another rig"

// placed refuses a place that is none, or that the recording does not hold whole.
func (r *reader) placed() error {
	length, at := float64(r.frames)/float64(r.rate), onsets(r.take)
	first, end := r.clock.at(at[0]), r.clock.at(at[len(at)-1])
	switch {
	case len(r.sounds) > 1 && length < at[len(at)-1]:
		return refuse(fmt.Sprintf("a track lasts %s, and the take %s", unit.Length(length), unit.Length(r.take.Length.Seconds())),
			"export each track whole, from the first note of the take to its last")
	case r.short && (r.fit < leastFit || r.second > secondBest || end > length-0.2):
		return refuse("the file is cut off: it says that it holds more sound than it has", "copy it again from the recorder")
	case r.fit >= leastFit && r.second > secondBest && length > 2*(at[len(at)-1]-at[0]):
		return refuse("two places in the recording fit the take alike: it was recorded twice, or is another one", "cut the recording so that it holds one take, and name that with --wav")
	case r.fit < leastFit || r.second > secondBest:
		return refuse(notFollowing, "record the file that --take names, from its first note to its last")
	case first < 0:
		return refuse("the recording begins after the take: its first notes are missing", "start the recorder before the take")
	case end > length-0.2:
		return refuse("the recording ends before the take: its last notes are missing", "let the recorder run to the end")
	}
	return nil
}

// widest is the larger of three neighbours.
func widest(x []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = math.Max(x[i], math.Max(x[max(0, i-1)], x[min(len(x)-1, i+1)]))
	}
	return out
}

func moments(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x))
	}
	return mean, math.Sqrt(sd)
}

// weighted is a value and what it counts by.
type weighted struct{ value, weight float64 }

// median is the weighted median: half of the weight is at or below it.
func median(all []weighted) float64 {
	all = slices.Clone(all)
	slices.SortFunc(all, func(a, b weighted) int { return cmp.Compare(a.value, b.value) })
	sum, half := 0.0, 0.0
	for _, w := range all {
		half += w.weight / 2
	}
	for _, w := range all {
		if sum += w.weight; sum >= half {
			return w.value
		}
	}
	return math.NaN()
}

// setClock takes the rate of the clock from the two roll calls of each voice, and where
// the take begins from all of them. A voice sounds at a key of its own, or NaN.
func (r *reader) setClock(key func(part int) float64) error {
	var rates, offsets []weighted
	for i := range r.take.Parts {
		p := &r.take.Parts[i]
		if math.IsNaN(key(i)) {
			continue
		}
		calls := [2]take.Note{p.Notes[0], p.Notes[len(p.Notes)-1]}
		var heard, tail [2]float64
		for j := range calls {
			var err error
			if heard[j], tail[j], err = r.rise(&calls[j], key(i)); err != nil {
				return err
			}
		}
		if span := (calls[1].At - calls[0].At).Seconds(); !math.IsNaN(heard[0] + heard[1]) {
			// what rises from a tail is half up sooner: it counts less
			rates = append(rates, weighted{(heard[1] - heard[0]) / span, span * math.Exp(-20*math.Max(tail[0], tail[1]))})
			offsets = append(offsets, weighted{heard[0], calls[0].At.Seconds()})
		}
	}
	if len(rates) == 0 {
		return nil
	}
	if rate := median(rates); math.Abs(rate-1) < 2*apartPPM*1e-6 {
		r.clock.rate = rate
	}
	for i := range offsets {
		offsets[i] = weighted{offsets[i].value - r.clock.rate*offsets[i].weight, 1}
	}
	r.clock.offset = median(offsets)
	return nil
}

// rise is when in the recording a roll call is heard at a key: where its level has risen
// by half; NaN where it does not rise by 6 dB. Tail is the level that it rises from, as a
// share of the one that it rises to.
func (r *reader) rise(n *take.Note, key float64) (at, tail float64, err error) {
	const before, after, window, step = 0.06, 0.17, 0.008, 0.0005
	from := r.clock.at(n.At.Seconds()) - before
	x, start, err := r.piece(from-window, from+before+after+window)
	if err != nil {
		return 0, 0, err
	}
	var level []float64
	hertz := r.hertz(key)
	for t := from; t < from+before+after; t += step {
		level = append(level, r.level(x, start, t, window, hertz))
	}
	rest, full := mean(level[:len(level)/8]), mean(level[len(level)*7/8:])
	half := (rest + full) / 2
	if full < 2*rest {
		return math.NaN(), 1, nil
	}
	for i := 1; i < len(level); i++ {
		if level[i-1] < half && level[i] >= half {
			return from + step*(float64(i-1)+(half-level[i-1])/(level[i]-level[i-1])), rest / full, nil
		}
	}
	return math.NaN(), 1, nil
}

func mean(x []float64) float64 {
	m, _ := moments(x)
	return m
}
