package hearing

import (
	"math"
	"slices"
	"time"
)

// pile is what some notes excite in sum: a row for each rate, in units that
// shrink with the clock of its mix.
type pile struct {
	rows    []row
	live    []bool
	members []int32 // by rate; tails are never counted out
	lives   int     // rates that are live
	gates   int32   // of what is in it: those that do not fade
	// low and high are the bands, high not among them, that anything in it excites.
	low, high int
}

// mix keeps piles and their clock: what is asked for, and of what is missing one
// pile for each part or for each who listens. A row is what it holds times its
// scale: e^(−rate·t), t from the begin of an era. So a scale follows from the time
// alone, and whoever shares a mix hears the same.
type mix struct {
	rates []float64
	eras  []time.Duration // by rate: how long they last
	clock []clock         // by rate
	mid   []float64       // scales at the time of the last [mix.look]
	used  []int32         // by rate: in how many piles it is live
	now   time.Duration
	asked pile
	lost  []pile
	turns int // how often a rate came in or went, or an era began
	told  int // turns when the next were found out
	tail  int // see tails
	only  bool
	taken int // how often anything of asked has become less at once
}

// clock is the scale of a rate.
type clock struct {
	at    time.Duration // when it holds
	era   time.Duration // when its era began
	ends  time.Duration
	scale float64
}

// eraDecay is by what rows shrink in an era, as the exponent of e.
const eraDecay = 138.0 // 60 decimal places

func newMix(rates []float64, piles int) *mix {
	m := &mix{turns: 1, rates: rates, eras: make([]time.Duration, len(rates)), clock: make([]clock, len(rates)),
		mid: make([]float64, len(rates)), used: make([]int32, len(rates)), asked: newPile(len(rates))}
	for r, rate := range rates {
		if m.eras[r] = never; rate > 0 {
			m.eras[r] = time.Duration(eraDecay / rate * 1e9)
		}
	}
	for range piles {
		m.lost = append(m.lost, newPile(len(rates)))
	}
	return m
}

func newPile(rates int) pile {
	return pile{rows: make([]row, rates), live: make([]bool, rates), members: make([]int32, rates)}
}

// reset empties a mix.
func (m *mix) reset() {
	m.now = 0
	m.clear(&m.asked)
	for i := range m.lost {
		m.clear(&m.lost[i])
	}
	for r := range m.clock {
		m.clock[r] = clock{scale: 1, ends: m.eras[r]}
	}
}

func (m *mix) clear(p *pile) {
	for r := range p.rows {
		m.drop(p, r)
	}
	p.gates, p.low, p.high = 0, Bands, 0
}

// drop empties a row.
func (m *mix) drop(p *pile, r int) {
	if p.live[r] {
		p.rows[r], p.live[r], p.members[r] = row{}, false, 0
		p.lives--
		if m.used[r]--; m.used[r] == 0 {
			m.turns++
		}
	}
}

// advance lets the time pass.
func (m *mix) advance(t time.Duration) { m.now = t }

// scale is that of a rate now.
func (m *mix) scale(r int) float64 {
	if r == 0 {
		return 1
	}
	c := m.dated(r)
	if c.at != m.now {
		c.at, c.scale = m.now, exp(float64(-m.rates[r]*seconds(m.now-c.era)))
	}
	return c.scale
}

// dated is the clock of a rate, in the era that it is now.
func (m *mix) dated(r int) *clock {
	c := &m.clock[r]
	if m.now < c.ends {
		return c
	}
	era := m.now - m.now%m.eras[r]
	by := exp(float64(-m.rates[r] * seconds(era-c.era)))
	m.rescale(&m.asked, r, by)
	for i := range m.lost {
		m.rescale(&m.lost[i], r, by)
	}
	*c = clock{at: era, era: era, ends: era + m.eras[r], scale: 1}
	m.turns++
	return c
}

// smallest is below what a row has faded away.
const smallest = 1e-60

// rescale writes a row anew in another era; what has faded away is gone.
func (m *mix) rescale(p *pile, r int, by float64) {
	if !p.live[r] {
		return
	}
	most := 0.0
	for b := range p.rows[r] {
		p.rows[r][b] = float64(p.rows[r][b] * by)
		most = max(most, p.rows[r][b], -p.rows[r][b])
	}
	if most < smallest && p.members[r] == 0 {
		m.drop(p, r)
	}
}

// look works out the scales at a time that is not before now.
func (m *mix) look(t time.Duration) {
	m.mid[0] = 1
	for r := 1; r < len(m.rates); r++ {
		if m.used[r] > 0 {
			m.mid[r] = exp(float64(-m.rates[r] * seconds(t-m.dated(r).era)))
		}
	}
}

// turn takes so many voices of a contour from one phase into another, below 0 from what is
// missing.
func (m *mix) turn(p *pile, c *contour, was, now phase, voices float64) {
	if was == rising && now == holding && c.flat {
		m.add(p, c.tone, 0, (c.holds-c.rises)*voices*c.gain)
		return
	}
	m.leave(p, c, was, voices)
	m.enter(p, c, now, voices)
}

// enter adds so many voices of a contour in a phase.
func (m *mix) enter(p *pile, c *contour, ph phase, voices float64) {
	switch ph {
	case silent:
		return
	case fading:
		r, power := c.first+tailRate, m.tailOf(c) // before it is live: a new era drops what is empty
		m.enliven(p, r)
		m.add(p, c.tone, r, power*voices*c.gain)
		return
	}
	p.gates++
	x := c.terms(ph, m.now)
	for _, t := range x.of[:x.n] {
		m.enliven(p, t.rate)
		p.members[t.rate]++
		m.add(p, c.tone, t.rate, t.power*voices*c.gain/m.scale(t.rate))
	}
}

// enliven lets a rate be live in a pile.
func (m *mix) enliven(p *pile, r int) {
	if !p.live[r] {
		p.live[r] = true
		p.lives++
		if m.used[r]++; m.used[r] == 1 {
			m.turns++
		}
	}
}

// tailOf is the power of a tail of full in its row: as long as an era lasts it is the same.
func (m *mix) tailOf(c *contour) float64 {
	return float64(c.after * exp(float64(c.tail*seconds(c.low-m.dated(c.first+tailRate).era))))
}

// leave takes back what was entered.
func (m *mix) leave(p *pile, c *contour, ph phase, voices float64) {
	switch ph {
	case silent:
		return
	case fading:
		if r := c.first + tailRate; p.live[r] && float64(c.tail*seconds(m.now-c.low)) < faded {
			m.add(p, c.tone, r, -m.tailOf(c)*voices*c.gain)
		}
		return
	}
	p.gates--
	x := c.terms(ph, m.now)
	for _, t := range x.of[:x.n] {
		if p.members[t.rate]--; p.members[t.rate] == 0 {
			m.drop(p, t.rate) // what rounding leaves goes too
			continue
		}
		m.add(p, c.tone, t.rate, -t.power*voices*c.gain/m.scale(t.rate))
	}
}

// faded is by how much a tail has shrunk that is not worth taking back, as the exponent
// of e: 14 decimal places.
const faded = 32.0

// add adds a tone to a row of a pile, so many times.
func (m *mix) add(p *pile, t *tone, r int, k float64) {
	p.low, p.high = min(p.low, t.low), max(p.high, t.high)
	from := t.excites[t.low:t.high]
	into := p.rows[r][t.low:t.high][:len(from)]
	b := 0
	for ; b+4 <= len(from); b += 4 { // four at a time take two thirds of the time
		x, y := (*[4]float64)(from[b:]), (*[4]float64)(into[b:])
		y[0] += float64(k * x[0])
		y[1] += float64(k * x[1])
		y[2] += float64(k * x[2])
		y[3] += float64(k * x[3])
	}
	for ; b < len(from); b++ {
		into[b] += float64(k * from[b])
	}
}

// sum adds a pile to a row, at the time that was looked at.
func (m *mix) sum(p *pile, to *row) {
	for r, live := range p.live {
		if !live {
			continue
		}
		k, from := m.mid[r], &p.rows[r]
		for b := range to {
			to[b] += float64(k * from[b])
		}
	}
}

// loudest is the largest of a pile's rows over the noise inside the ear, in amount,
// summed as if none made up for another: what does now will not when one has faded.
// It is that of the time looked at.
func (m *mix) loudest(p *pile) float64 {
	if p.lives == 1 {
		r := slices.Index(p.live, true)
		return m.mid[r] * p.rows[r].most(p.low, p.high)
	}
	var all row
	for r, live := range p.live {
		if !live {
			continue
		}
		k, from := m.mid[r], &p.rows[r]
		for b := range all {
			all[b] += math.Abs(float64(k * from[b]))
		}
	}
	return all.over(&theEar.noise)
}

// most is the largest amount of a row over the noise inside the ear, in some bands.
func (r *row) most(low, high int) float64 {
	num, den := 0.0, 1.0
	noise := theEar.noise[low:high]
	for b, x := range r[low:high] {
		if y := noise[b]; math.Abs(float64(x*den)) > float64(num*y) {
			num, den = math.Abs(x), y
		}
	}
	return num / den
}

// over is the largest ratio of two rows in a band.
func (r *row) over(to *row) float64 {
	num, den := 0.0, 1.0
	for b, x := range r {
		if y := to[b]; float64(x*den) > float64(num*y) {
			num, den = x, y
		}
	}
	return num / den
}

// tails tells of which rate all tails are, 0 where there are none, and whether nothing but
// them fades or rises.
func (m *mix) tails() (rate int, only bool) {
	if m.told != m.turns {
		m.told, m.tail, m.only = m.turns, 0, true
		for r := 1; r < len(m.rates); r++ {
			if m.used[r] > 0 {
				m.only = m.only && m.tail == 0 && (r-1)%ratesEach == tailRate
				m.tail = r
			}
		}
	}
	return m.tail, m.only
}

// tailScale is the scale of tails at the time looked at, where they all are of one rate.
func (m *mix) tailScale() float64 {
	rate, _ := m.tails()
	if rate == 0 {
		return 0
	}
	return m.mid[rate]
}
