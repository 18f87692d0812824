package hearing

import "time"

// pile is what some notes excite in sum: a row for each rate, in units that
// shrink with the clock of its mix.
type pile struct {
	rows    []row
	live    []bool
	members []int32 // by rate; tails are never counted out
	gates   int32   // of what is in it: those that do not fade
}

// mix keeps piles and their clock: what is asked for, and of what is missing one
// pile or one for each part. A row is what it holds times its scale.
type mix struct {
	rates []float64
	scale []float64 // by rate, now
	mid   []float64 // at the time of the last [mix.look]
	now   time.Duration
	asked pile
	lost  []pile
}

func newMix(rates []float64, piles int) *mix {
	m := &mix{rates: rates, scale: make([]float64, len(rates)), mid: make([]float64, len(rates)), asked: newPile(len(rates))}
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
	m.asked.clear()
	for i := range m.lost {
		m.lost[i].clear()
	}
	for r := range m.scale {
		m.scale[r] = 1
	}
}

func (p *pile) clear() {
	for r := range p.rows {
		p.drop(r)
	}
	p.gates = 0
}

func (p *pile) drop(r int) {
	if p.live[r] {
		p.rows[r], p.live[r], p.members[r] = row{}, false, 0
	}
}

// used tells whether a rate is that of anything.
func (m *mix) used(r int) bool {
	if m.asked.live[r] {
		return true
	}
	for i := range m.lost {
		if m.lost[i].live[r] {
			return true
		}
	}
	return false
}

// smallest is the scale below which rows are written anew.
const smallest = 1e-60

// advance lets the time pass.
func (m *mix) advance(t time.Duration) {
	if t == m.now {
		return
	}
	dt := (t - m.now).Seconds()
	m.now = t
	for r := 1; r < len(m.rates); r++ {
		if !m.used(r) {
			m.scale[r] = 1
			continue
		}
		if m.scale[r] *= exp(float64(-m.rates[r] * dt)); m.scale[r] < smallest {
			m.asked.rescale(r, m.scale[r])
			for i := range m.lost {
				m.lost[i].rescale(r, m.scale[r])
			}
			m.scale[r] = 1
		}
	}
}

// rescale writes a row anew; what has faded away is gone.
func (p *pile) rescale(r int, by float64) {
	if !p.live[r] {
		return
	}
	most := 0.0
	for b := range p.rows[r] {
		p.rows[r][b] = float64(p.rows[r][b] * by)
		most = max(most, p.rows[r][b], -p.rows[r][b])
	}
	if most < smallest && p.members[r] == 0 {
		p.drop(r)
	}
}

// look works out the scales a while after now.
func (m *mix) look(t time.Duration) {
	dt := (t - m.now).Seconds()
	for r := range m.rates {
		if m.mid[r] = m.scale[r]; m.rates[r] > 0 && m.used(r) {
			m.mid[r] *= exp(float64(-m.rates[r] * dt))
		}
	}
}

// enter adds so many voices of a contour in a phase, or takes them from what is
// missing where voices is below 0.
func (m *mix) enter(p *pile, c *contour, ph phase, voices float64) {
	x := c.terms(ph, m.now)
	for _, t := range x.of[:x.n] {
		p.live[t.rate] = true
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
			p.drop(t.rate) // what rounding leaves goes too
			continue
		}
		m.add(p, c, t, -voices)
	}
}

func (m *mix) add(p *pile, c *contour, t term, voices float64) {
	k := t.power * voices * c.gain / m.scale[t.rate]
	into, from := &p.rows[t.rate], &c.tone.excites
	for b := range into {
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
