package listen

import (
	"math"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study/hearing"
)

// fade is how many samples a sound takes to end where its voice is taken, and to
// begin where it does not rise from silence: 2 ms.
const fade = 96

const (
	aim       = 1.3 // of an attack, in multiples of full; see alloc.Envelope
	overshoot = aim - 1
	never     = math.MaxInt64 / 4
)

var (
	attackTaus = hearing.Log(aim / overshoot)
	tau60      = hearing.Log(1000)
)

// shape is an envelope with its rates in samples.
type shape struct {
	sustain                float64
	attack, decay, release float64 // rates; 0 where there is no such phase
	attackBy, decayBy, by  float64 // what is left of each after a sample
	rings                  int64   // for how long a tail does, to −120 dB
}

// shortest is the release of a voice that has none, so that its sound ends as softly
// as that of one that is taken.
const shortest = 4 * time.Millisecond

func newShape(e alloc.Envelope) *shape {
	release := samples(max(e.Release, shortest))
	s := &shape{sustain: e.Sustain, rings: 2 * release}
	rate := func(taus float64, n int64) (r, by float64) {
		if n == 0 {
			return 0, 0
		}
		r = taus / float64(n)
		return r, hearing.Exp(-r)
	}
	s.attack, s.attackBy = rate(attackTaus, samples(e.Attack))
	s.decay, s.decayBy = rate(tau60, samples(e.Decay))
	s.release, s.by = rate(tau60, release)
	if s.decay == 0 && s.sustain < 1 {
		s.decay, s.decayBy = math.Inf(1), 0
	}
	return s
}

// gate is one time for which a gate is high, in samples.
type gate struct {
	on, low int64
	full    float64 // when the attack reaches full
}

// contour is a level in time: of one note, as it is asked for or as it is played.
type contour struct {
	*shape
	gates []gate
	stop  int64     // from here on it fades, whatever its gates do
	after []float64 // by gate: the level when it goes low
	soft  bool      // it does not begin in silence, so it fades in
}

// newContour completes gates. The first attack is full when it says; a later one
// rises from the level that there is.
func newContour(s *shape, gates []gate, stop int64) *contour {
	c := &contour{shape: s, gates: gates, stop: stop, after: make([]float64, len(gates))}
	for i := range gates {
		g := &gates[i]
		if i > 0 {
			g.full = float64(g.on)
			if level := float64(c.after[i-1] * c.fallen(g.on-gates[i-1].low)); s.attack > 0 && level < 1 {
				g.full += hearing.Log((aim-level)/overshoot) / s.attack
			}
		}
		c.after[i] = c.open(i, g.low).value()
	}
	c.soft = c.open(0, gates[0].on).value() > 0.01
	return c
}

// fallen is what is left of a tail after some samples.
func (s *shape) fallen(n int64) float64 { return hearing.Exp(float64(-s.release * float64(n))) }

// ends is the sample from which on there is silence.
func (c *contour) ends() int64 {
	return min(c.stop+fade, c.gates[len(c.gates)-1].low+c.rings)
}

// curve is a level that comes nearer to base by one factor each sample.
type curve struct {
	base, off, by float64
	until         int64 // sample
}

// value is the level that it begins with.
func (c curve) value() float64 { return max(0, c.base+c.off) }

// open is the curve of a gate that is high at a sample.
func (c *contour) open(i int, at int64) curve {
	g := &c.gates[i]
	since := float64(at) - g.full
	if since < 0 && c.attack > 0 {
		return curve{aim, float64(-overshoot * hearing.Exp(float64(-c.attack*since))), c.attackBy, min(g.low, int64(math.Ceil(g.full)))}
	}
	if c.sustain == 1 || math.IsInf(c.decay, 1) {
		return curve{c.sustain, 0, 0, g.low}
	}
	return curve{c.sustain, float64((1 - c.sustain) * hearing.Exp(float64(-c.decay*max(0, since)))), c.decayBy, g.low}
}

// at is the curve from a sample on.
func (c *contour) at(sample int64) curve {
	i := len(c.gates) - 1
	for i >= 0 && c.gates[i].on > sample {
		i--
	}
	until := int64(never)
	if i+1 < len(c.gates) {
		until = c.gates[i+1].on
	}
	switch {
	case i < 0:
		return curve{until: until}
	case sample < c.gates[i].low:
		return c.open(i, sample)
	}
	return curve{0, float64(c.after[i] * c.fallen(sample-c.gates[i].low)), c.by, until}
}

// levelBits say that a level of full is 2³⁰.
const levelBits = 30

// fill works levels out from a sample on; steady tells that all are like the first,
// and that the others are not filled in.
func (c *contour) fill(out []int32, from int64) (steady bool) {
	ramps := c.soft && from < c.gates[0].on+fade || from+int64(len(out)) > c.stop
	for n := 0; n < len(out); {
		x := c.at(from + int64(n))
		until := int(min(int64(len(out)), x.until-from))
		if x.off == 0 && n == 0 && until == len(out) && !ramps {
			out[0] = level(x.base)
			return true
		}
		x.fill(out[n:until])
		n = until
	}
	if ramps {
		c.ramp(out, from)
	}
	return false
}

func level(x float64) int32 { return int32(float64(max(0, x) * (1 << levelBits))) }

func (c *curve) fill(out []int32) {
	base, off, by := float64(c.base*(1<<levelBits)), float64(c.off*(1<<levelBits)), c.by
	for i := range out {
		out[i] = max(0, int32(base+off))
		off = float64(off * by)
	}
}

// ramp fades in and out.
func (c *contour) ramp(out []int32, from int64) {
	if since := from - c.gates[0].on; c.soft && since < fade {
		for i := range out[:min(int64(len(out)), fade-since)] {
			out[i] = int32(int64(out[i]) * max(0, since+int64(i)) / fade)
		}
	}
	for i := max(0, c.stop-from); i < int64(len(out)); i++ {
		out[i] = int32(int64(out[i]) * max(0, c.stop+fade-from-i) / fade)
	}
}

// agree returns up to which sample two contours are the same.
func agree(a, b *contour) int64 {
	until := int64(never)
	if a.shape != b.shape {
		return 0
	}
	if a.stop != b.stop {
		until = min(a.stop, b.stop)
	}
	for i := range max(len(a.gates), len(b.gates)) {
		switch {
		case i == len(a.gates):
			return min(until, b.gates[i].on)
		case i == len(b.gates):
			return min(until, a.gates[i].on)
		case a.gates[i].on != b.gates[i].on || a.gates[i].full != b.gates[i].full:
			return min(until, a.gates[i].on, b.gates[i].on)
		case a.gates[i].low != b.gates[i].low:
			return min(until, a.gates[i].low, b.gates[i].low)
		}
	}
	return until
}
