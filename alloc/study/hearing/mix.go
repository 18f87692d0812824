package hearing

import "time"

// pile is what some notes excite in sum: a row for each rate, in units that
// shrink with the clock of its mix.
type pile struct {
	rows    []row
	live    []bool
	members []int32 // by rate; tails are never counted out
	lives   int     // rates that are live
	gates   int32   // of what is in it: those that do not fade
}

// mix keeps piles and their clock: what is asked for, and of what is missing one
// pile or one for each part. A row is what it holds times its scale.
type mix struct {
	rates []float64
	scale []float64  // by rate, now
	mid   []float64  // at the time of the last [mix.look]
	used  []int32    // by rate: in how many piles it is live
	steps [2]factors // of advance and of look, as they were last
	now   time.Duration
	asked pile
	lost  []pile
}

func newMix(rates []float64, piles int) *mix {
	m := &mix{rates: rates, scale: make([]float64, len(rates)), mid: make([]float64, len(rates)), used: make([]int32, len(rates)), asked: newPile(len(rates))}
	for i := range m.steps {
		m.steps[i] = factors{by: make([]float64, len(rates)), of: make([]time.Duration, len(rates))}
	}
	for range piles {
		m.lost = append(m.lost, newPile(len(rates)))
	}
	return m
}

// factors are what rows shrink by in a time; most steps have the same.
type factors struct {
	by []float64
	of []time.Duration // by rate, for which it was worked out
}

// after returns the factor of a rate for a time.
func (f *factors) after(rate float64, r int, dt time.Duration) float64 {
	if f.of[r] != dt {
		f.of[r], f.by[r] = dt, exp(float64(-rate*seconds(dt)))
	}
	return f.by[r]
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
	for r := range m.scale {
		m.scale[r] = 1
	}
}

func (m *mix) clear(p *pile) {
	for r := range p.rows {
		m.drop(p, r)
	}
	p.gates = 0
}

// drop empties a row.
func (m *mix) drop(p *pile, r int) {
	if p.live[r] {
		p.rows[r], p.live[r], p.members[r] = row{}, false, 0
		p.lives--
		m.used[r]--
	}
}

// smallest is the scale below which rows are written anew.
const smallest = 1e-60

// advance lets the time pass.
func (m *mix) advance(t time.Duration) {
	if t == m.now {
		return
	}
	dt := t - m.now
	m.now = t
	for r := 1; r < len(m.rates); r++ {
		if m.used[r] == 0 {
			m.scale[r] = 1
			continue
		}
		if m.scale[r] *= m.steps[0].after(m.rates[r], r, dt); m.scale[r] < smallest {
			m.rescale(&m.asked, r, m.scale[r])
			for i := range m.lost {
				m.rescale(&m.lost[i], r, m.scale[r])
			}
			m.scale[r] = 1
		}
	}
}

// rescale writes a row anew; what has faded away is gone.
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

// look works out the scales a while after now.
func (m *mix) look(t time.Duration) {
	dt := t - m.now
	for r := range m.rates {
		if m.mid[r] = m.scale[r]; r > 0 && m.used[r] > 0 {
			m.mid[r] *= m.steps[1].after(m.rates[r], r, dt)
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
			m.used[t.rate]++
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
	k := t.power * voices * c.gain / m.scale[t.rate]
	into, from := p.rows[t.rate][c.tone.low:c.tone.high], c.tone.excites[c.tone.low:c.tone.high]
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

// loudest is the largest of a pile's sums over the noise inside the ear, in
// amount; that of the time looked at.
func (m *mix) loudest(p *pile) float64 {
	var all row
	m.sum(p, &all)
	most := 0.0
	for b := range all {
		most = max(most, all[b]/theEar.noise[b], -all[b]/theEar.noise[b])
	}
	return most
}
