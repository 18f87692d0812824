package hearing

import (
	"math"
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
		m.clock[r] = clock{scale: 1}
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
	c := &m.clock[r]
	if c.at == m.now || r == 0 {
		return c.scale
	}
	c.at = m.now
	if era := m.now - m.now%m.eras[r]; era > c.era {
		by := exp(float64(-m.rates[r] * seconds(era-c.era)))
		m.rescale(&m.asked, r, by)
		for i := range m.lost {
			m.rescale(&m.lost[i], r, by)
		}
		c.era = era
		m.turns++
	}
	c.scale = exp(float64(-m.rates[r] * seconds(m.now-c.era)))
	return c.scale
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
			m.mid[r] = float64(m.scale(r) * exp(float64(-m.rates[r]*seconds(t-m.now))))
		}
	}
}

// enter adds so many voices of a contour in a phase, or takes them from what is
// missing where voices is below 0.
func (m *mix) enter(p *pile, c *contour, ph phase, voices float64) {
	x := c.terms(ph, m.now)
	for _, t := range x.of[:x.n] {
		if !p.live[t.rate] {
			p.live[t.rate] = true
			p.lives++
			if m.used[t.rate]++; m.used[t.rate] == 1 {
				m.turns++
			}
		}
		p.members[t.rate]++
		m.add(p, c, t, voices)
	}
	if ph == fading {
		p.members[c.first+tailRate]--
	} else {
		p.gates++
	}
}

// leave takes back what was entered.
func (m *mix) leave(p *pile, c *contour, ph phase, voices float64) {
	if ph == fading {
		if faded := c.fade(m.now); faded > 1e-14 && p.live[c.first+tailRate] {
			m.add(p, c, term{c.first + tailRate, faded}, -voices)
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
		m.add(p, c, t, -voices)
	}
}

func (m *mix) add(p *pile, c *contour, t term, voices float64) {
	k := t.power * voices * c.gain / m.scale(t.rate)
	p.low, p.high = min(p.low, c.tone.low), max(p.high, c.tone.high)
	from := c.tone.excites[c.tone.low:c.tone.high]
	into := p.rows[t.rate][c.tone.low:c.tone.high][:len(from)]
	for b, x := range from {
		into[b] += float64(k * x)
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
	most := 0.0
	for b := range all {
		most = max(most, all[b]/theEar.noise[b])
	}
	return most
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
