package recorded

import (
	"math"
	"math/cmplx"
	"slices"
	"time"

	"choirloft/midi"
	"choirloft/routing/take"
)

// measure takes the figures of a voice whose place is known: where it sounds, and sounds
// by itself.
func (r *reader) measure(v *Voice, s *slot) error {
	nan := math.NaN()
	v.Release, v.Attack, v.Level, v.Latency, v.Gate, v.Moved, v.Sigma = nan, nan, nan, nan, nan, nan, Sigma{nan, nan, nan, nan}
	if v.State != OK && v.State != Octave && v.State != Doubled {
		return nil
	}
	for _, g := range s.segments {
		if g.note.Kind == take.Fade {
			continue
		}
		reading, ok, err := r.pitch(v, g)
		if err != nil {
			return err
		}
		if ok {
			v.Readings = append(v.Readings, reading)
		}
	}
	if err := r.setLevel(v, s); err != nil {
		return err
	}
	if v.State == Doubled {
		return nil
	}
	if err := r.setRelease(v, s); err != nil {
		return err
	}
	if err := r.setAttack(v, s); err != nil {
		return err
	}
	if err := r.setGate(v, s); err != nil {
		return err
	}
	return r.setMoved(v, s)
}

// setMoved compares the pitch of the parking key in the two roll calls.
func (r *reader) setMoved(v *Voice, s *slot) error {
	const settled = 50 * time.Millisecond
	notes := s.part.Notes
	var hertz [2]float64
	for i, n := range []*take.Note{&notes[0], &notes[len(notes)-1]} {
		from, to := r.clock.at((n.At + settled).Seconds()), r.clock.at(n.End().Seconds())
		x, start, err := r.piece(from, to)
		if err != nil {
			return err
		}
		spec := r.spectra.of(x)
		c := spec.comb(r.hertz(float64(n.Key) + float64(12*v.Octaves)))
		if c.share < leastShare {
			return nil
		}
		hertz[i], _ = r.refine(x, start, c.hertz, spec)
	}
	v.Moved = 1200 * math.Log2(hertz[1]/hertz[0])
	return nil
}

// besideStuck is the least standard deviation of a pitch beside a voice that is stuck,
// in cents.
const besideStuck = 3.0

// pitch reads the pitch of a note.
func (r *reader) pitch(v *Voice, g segment) (Reading, bool, error) {
	sent := float64(g.note.Key) + g.note.Bend
	c := g.spec.comb(r.hertz(sent + float64(12*v.Octaves)))
	if c.share < leastShare/2 {
		return Reading{}, false, nil
	}
	x, start, err := r.piece(r.clock.at(g.note.At.Seconds()+settle), r.clock.at(g.note.End().Seconds()))
	if err != nil {
		return Reading{}, false, err
	}
	hertz, sigma := r.refine(x, start, c.hertz, g.spec)
	out := Reading{Key: g.note.Key, Bend: g.note.Bend, Hertz: hertz * r.clock.rate, Sigma: sigma}
	out.Cents = 1200 * math.Log2(hertz/r.hertz(sent))
	if len(r.drones) > 0 || v.State == Doubled {
		out.Sigma = math.Max(out.Sigma, besideStuck)
	}
	return out, true, nil
}

// refine finds a pitch by the phases of its harmonics in five overlapping pieces, and
// its standard deviation in cents. A harmonic counts by its amplitude and number squared,
// as the variance of its slope over its number has it.
func (r *reader) refine(x []float64, start, hertz float64, spec *spectrum) (float64, float64) {
	const pieces = 5
	rate := float64(r.rate)
	long := 2 * len(x) / (pieces + 1)
	strongest := 0.0
	for h := 1; h <= mostHarmonics; h++ {
		strongest = math.Max(strongest, spec.tooth(hertz*float64(h)))
	}
	var all []weighted
	for h := 1; h <= mostHarmonics; h++ {
		f := hertz * float64(h)
		power := spec.tooth(f)
		if f > 0.4*rate || power < 1e-3*strongest || h > 1 && nearMains(f, spec.half) {
			continue
		}
		phases := make([]float64, pieces)
		for i := range phases {
			at := i * long / 2
			phases[i] = cmplx.Phase(r.spectra.phasor(x[at:at+long], f, float64(at)/rate))
			if i > 0 {
				phases[i] = phases[i-1] + math.Remainder(phases[i]-phases[i-1], 2*math.Pi)
			}
		}
		off := slope(phases) / (2 * math.Pi * float64(long/2) / rate)
		all = append(all, weighted{(f + off) / float64(h), power * float64(h*h)})
	}
	if len(all) == 0 {
		return hertz, withinCents
	}
	best := median(all)
	spread := make([]weighted, len(all))
	for i, w := range all {
		spread[i] = weighted{1200 * math.Abs(math.Log2(w.value/best)), w.weight}
	}
	// 1.4826 deviations of the median are a standard deviation (Huber, Robust Statistics);
	// no reading is nearer than what the clock of a player is worth.
	return best, math.Max(0.05, 1.4826*median(spread)/math.Sqrt(float64(len(all))))
}

// nearMains tells whether hum may move a tone: harmonics of 50 and 60 Hz, to 1 kHz.
func nearMains(hertz, within float64) bool {
	if hertz > 1000 {
		return false
	}
	return math.Abs(math.Remainder(hertz, 50)) < within || math.Abs(math.Remainder(hertz, 60)) < within
}

// slope is that of a line by least squares, a step of 1 apart.
func slope(y []float64) float64 {
	middle, sum, squares := float64(len(y)-1)/2, 0.0, 0.0
	for i, v := range y {
		sum += (float64(i) - middle) * v
		squares += (float64(i) - middle) * (float64(i) - middle)
	}
	return sum / squares
}

// setLevel takes the level of the key that is nearest to middle C. Its standard deviation
// is that of the mean over quarters of the note.
func (r *reader) setLevel(v *Voice, s *slot) error {
	const quarters = 4
	nearest, found := midi.Key(127), (*take.Note)(nil)
	for _, g := range s.segments {
		if g.note.Kind != take.Reading || away(g.note.Key) >= away(nearest) {
			continue
		}
		if c := g.spec.comb(r.hertz(float64(g.note.Key) + float64(12*v.Octaves))); c.power > 0 {
			nearest, found, v.Level = g.note.Key, g.note, 10*math.Log10(c.power)
		}
	}
	if found == nil {
		return nil
	}
	x, _, err := r.piece(r.clock.at(found.At.Seconds()+settle), r.clock.at(found.End().Seconds()))
	if err != nil {
		return err
	}
	levels := make([]float64, quarters)
	for i := range levels {
		sum := 0.0
		for _, sample := range x[i*len(x)/quarters : (i+1)*len(x)/quarters] {
			sum += sample * sample
		}
		levels[i] = 10 * math.Log10(sum)
	}
	_, sd := moments(levels)
	v.Sigma.Level = sd / math.Sqrt(quarters-1)
	return nil
}

func away(k midi.Key) int { return max(int(k)-60, 60-int(k)) }

// setRelease takes T60 from the fade on the parking key.
func (r *reader) setRelease(v *Voice, s *slot) error {
	i := slices.IndexFunc(s.segments, func(g segment) bool { return g.note.Kind == take.Fade })
	g := s.segments[i]
	c := g.spec.comb(r.hertz(float64(g.note.Key) + float64(12*v.Octaves)))
	if c.share < leastShare/2 {
		return nil
	}
	hertz := fading(g.spec, c.hertz)
	window := math.Max(4/c.hertz, 0.008)
	off, end := r.clock.at(g.note.End().Seconds()), r.clock.at(s.part.To.Seconds())
	x, start, err := r.piece(off-0.2-window, end)
	if err != nil {
		return err
	}
	held := r.level(x, start, off-0.05, 0.1, hertz)
	floor := math.Max(r.floor(hertz, window), 1e-4*held) // of 16 bits there is no lower one
	var at, dB []float64
	for t := off + window/2; t < end-window; t += window / 8 {
		l := r.level(x, start, t, window, hertz)
		if math.IsNaN(l) || len(at) > 0 && l < 5*floor {
			break
		}
		if l < 0.7*held && l >= 5*floor {
			at, dB = append(at, t), append(dB, 10*math.Log10(l*l-floor*floor))
		}
	}
	if len(at) < 4 || dB[0]-slices.Min(dB) < 6 {
		return nil
	}
	slope := theilSen(at, dB)
	v.Release = -60 / slope
	v.Sigma.Release = v.Release * slopeError(at, dB, slope) / -slope
	return nil
}

// slopeError is the standard error of a slope, s/√Σ(x − mean)², times √8: windows that
// overlap by seven eighths count once (NIST/SEMATECH e-Handbook, 4.1.4.1, for independent ones).
func slopeError(x, y []float64, slope float64) float64 {
	offsets := make([]float64, len(x))
	for i := range x {
		offsets[i] = y[i] - slope*x[i]
	}
	_, sd := moments(offsets)
	_, wide := moments(x)
	return sd / wide * math.Sqrt(8/float64(len(x)))
}

// fading is the harmonic that a fade is followed on: the first above the hum that is
// loud enough.
func fading(spec *spectrum, hertz float64) float64 {
	const aboveHum, most, loud = 300.0, 5, 0.02
	top := 0.0
	for h := 1.0; h <= most; h++ {
		top = math.Max(top, spec.tooth(h*hertz))
	}
	for h := 1.0; h <= most; h++ {
		if h*hertz >= aboveHum && spec.tooth(h*hertz) > loud*top {
			return h * hertz
		}
	}
	return hertz
}

// floor is the level of a tone before the take, where nothing plays.
func (r *reader) floor(hertz, window float64) float64 {
	first := r.clock.at(onsets(r.take)[0])
	from := math.Max(0, first-0.6)
	x, start, err := r.piece(from, first-0.02)
	if err != nil {
		return 0
	}
	var all []weighted
	for t := from + window; t < first-0.02-window; t += window {
		if l := r.level(x, start, t, window, hertz); !math.IsNaN(l) {
			all = append(all, weighted{l, 1})
		}
	}
	if len(all) == 0 {
		return 0
	}
	return median(all)
}

// theilSen is the median of the slopes between points that are half of them apart or
// more: near ones say little.
func theilSen(x, y []float64) float64 {
	skip := (len(x) + 299) / 300
	var all []weighted
	for i := 0; i < len(x); i += skip {
		for j := i + len(x)/2; j < len(x); j += skip {
			if j > i {
				all = append(all, weighted{(y[j] - y[i]) / (x[j] - x[i]), 1})
			}
		}
	}
	return median(all)
}

const (
	// rise10to90 is the share of an attack between 10 % and 90 % of the rise: of an
	// exponential toward 1.3 times full, stopped at full, ln(1.2/0.4)/ln(1.3/0.3).
	rise10to90 = 0.7492
	// windowRise is how long the level over a Hann window takes from 10 % to 90 % of a
	// step, as a share of the window.
	windowRise = 0.482
	// lowestAttack is the key from which on an attack is judged.
	lowestAttack = midi.Key(84)
)

// setAttack takes attack and latency from the first note of a slot, the highest key,
// which begins from silence.
func (r *reader) setAttack(v *Voice, s *slot) error {
	g := s.segments[0]
	if g.note.Key < lowestAttack || g.note.Kind != take.Reading || !fromSilence(v, s.part) {
		return nil
	}
	c := g.spec.comb(r.hertz(float64(g.note.Key) + float64(12*v.Octaves)))
	if c.share < leastShare/2 {
		return nil
	}
	const before, step = 0.06, 0.00025
	window := 4 / c.hertz
	from, to := r.clock.at(g.note.At.Seconds())-before, r.clock.at(g.note.End().Seconds())
	x, start, err := r.piece(from-window, to)
	if err != nil {
		return err
	}
	var levels []float64
	for t := from; t < to-window; t += step {
		levels = append(levels, r.level(x, start, t, window, c.hertz))
	}
	rest, hiss := moments(levels[:int(before/step/2)])
	sorted := slices.Clone(levels)
	slices.Sort(sorted)
	full := sorted[len(sorted)*19/20]
	low, high := crossing(levels, rest+(full-rest)/10), crossing(levels, rest+(full-rest)*9/10)
	if math.IsNaN(low) || math.IsNaN(high) {
		return nil
	}
	taken, blurred := (high-low)*step, windowRise*window
	v.Attack = math.Sqrt(math.Max(0, taken*taken-blurred*blurred)) / rise10to90
	v.Latency = (from + low*step - r.clock.at(g.note.At.Seconds())) / r.clock.rate
	// A level that is off by the noise crosses sooner or later by the noise over the slope.
	v.Sigma.Latency = math.Hypot(step/math.Sqrt(12), hiss*taken/(0.8*(full-rest)))
	v.Sigma.Attack = math.Sqrt2 * v.Sigma.Latency / rise10to90
	return nil
}

// fromSilence tells whether the roll call of a voice has faded by 40 dB where its slot
// begins; what rises from a tail rises sooner.
func fromSilence(v *Voice, p *take.Part) bool {
	const faded = 40.0
	return math.IsNaN(v.Release) || 60*(p.From-p.Notes[0].End()).Seconds() >= faded*v.Release
}

// crossing is where levels first reach one and stay: a place between two of them.
func crossing(levels []float64, level float64) float64 {
	const stay = 8
	for i := 1; i+stay < len(levels); i++ {
		if levels[i-1] < level && levels[i] >= level && !slices.ContainsFunc(levels[i:i+stay], func(l float64) bool { return l < level*0.9 }) {
			return float64(i-1) + (level-levels[i-1])/(levels[i]-levels[i-1])
		}
	}
	return math.NaN()
}
