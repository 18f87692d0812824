package listen

import (
	"math"

	"choirloft/alloc"
)

// block is how many frames are worked out at once; a voice drifts from one to the
// next.
const block = 1024

// bus is a sum of strands, left and right: whole numbers, so that the order does not
// matter. A full voice in the middle has an effective value of 2⁴⁶/√2.
type bus struct {
	left, right [block]int64
	used        bool
}

func (b *bus) clear() {
	if b.used {
		*b = bus{}
	}
}

// sampleBits are taken off the product of a wave and a level, so that sums of all
// voices have room.
const sampleBits = unitBits + levelBits - 26

// add adds a wave with a level for each sample.
func (b *bus) add(at int, wave, level []int32, left, right int64) {
	l, r := b.left[at:at+len(wave)], b.right[at:at+len(wave)]
	level = level[:len(wave)]
	for i, w := range wave {
		x := int64(w) * int64(level[i]) >> sampleBits
		l[i] += x * left
		r[i] += x * right
	}
	b.used = true
}

// addSteady adds a wave with one level.
func (b *bus) addSteady(at int, wave []int32, level int32, left, right int64) {
	l, r := b.left[at:at+len(wave)], b.right[at:at+len(wave)]
	for i, w := range wave {
		x := int64(w) * int64(level) >> sampleBits
		l[i] += x * left
		r[i] += x * right
	}
	b.used = true
}

// mixer works a song out block by block. What it needs in memory grows with what
// sounds at once, not with the song.
type mixer struct {
	*Sketch
	part   int   // −1 for all
	at     int64 // the next block's first frame
	next   int   // strand
	sounds []player
	// What is alike in both versions, and what is in one alone.
	both, asked, played bus
	wave, level         [block]int32
}

// player is where a strand is.
type player struct {
	*strand
	phase uint64
	move  int // of the pitch
}

// everyPart stands for all.
const everyPart = -1

// mixer returns one that begins with the block that a frame lies in.
func (s *Sketch) mixer(from int64, part int) *mixer {
	m := &mixer{Sketch: s, part: part, at: from / block * block}
	for ; m.next < len(s.strands) && s.strands[m.next].start < m.at; m.next++ {
		if x := &s.strands[m.next]; x.end > m.at {
			m.begin(x)
		}
	}
	return m
}

// begin lets a strand sound that may have begun before.
func (m *mixer) begin(x *strand) {
	if m.part != everyPart && x.part != m.part {
		return
	}
	p := player{strand: x, phase: startOf(x.note, x.position)}
	for at := x.start; at < m.at; {
		until := min((at/block+1)*block, m.at)
		m.run(&p, nil, at, until)
		at = until
	}
	m.sounds = append(m.sounds, p)
}

// startOf is the phase in which a strand starts.
func startOf(note alloc.NoteID, position int16) uint64 {
	d := draws(uint64(uint32(note))<<16 | uint64(uint16(position)))
	return d.next()
}

// mix works the next block out.
func (m *mixer) mix() {
	m.both.clear()
	m.asked.clear()
	m.played.clear()
	end := m.at + block
	for ; m.next < len(m.strands) && m.strands[m.next].start < end; m.next++ {
		if x := &m.strands[m.next]; x.end > m.at {
			m.begin(x)
		}
	}
	kept := m.sounds[:0]
	for _, p := range m.sounds {
		m.sound(&p, max(m.at, p.start), min(end, p.end))
		if p.end > end {
			kept = append(kept, p)
		}
	}
	m.sounds = kept
	m.at = end
}

// skip leaves silence out, up to the next block in which something begins.
func (m *mixer) skip() {
	if len(m.sounds) == 0 && m.next < len(m.strands) {
		m.at = max(m.at, m.strands[m.next].start/block*block)
	}
}

// sound adds some frames of a strand to the sums.
func (m *mixer) sound(p *player, from, until int64) {
	wave := m.wave[:until-from]
	m.run(p, wave, from, until)
	if p.asked != nil && p.played != nil && p.agree >= until {
		m.add(&m.both, p, p.asked, wave, from)
		return
	}
	if p.asked != nil {
		m.add(&m.asked, p, p.asked, wave, from)
	}
	if p.played != nil {
		m.add(&m.played, p, p.played, wave, from)
	}
}

func (m *mixer) add(to *bus, p *player, c *contour, wave []int32, from int64) {
	late, early := max(0, c.gates[0].on-from), max(0, from+int64(len(wave))-c.ends())
	if late+early >= int64(len(wave)) {
		return
	}
	wave, from = wave[late:int64(len(wave))-early], from+late
	level, at := m.level[:len(wave)], int(from-m.at)
	if c.fill(level, from) {
		if level[0] != 0 {
			to.addSteady(at, wave, level[0], p.left, p.right)
		}
		return
	}
	to.add(at, wave, level, p.left, p.right)
}

// run lets a strand go on within a block, and fills its wave in where there is one.
func (m *mixer) run(p *player, wave []int32, from, until int64) {
	off := m.tuning[p.voice].at(float64(from/block*block) / Rate)
	for at := from; at < until; {
		pitch, moves, next := p.pitch.at(at, p.move)
		p.move = next
		to := until
		if !p.pitch.still(until, moves, next) {
			to = min(until, (at/grain+1)*grain)
		}
		step := m.step(pitch + off)
		if wave == nil {
			p.phase += step * uint64(to-at)
		} else {
			m.read(p, wave[at-from:to-from], pitch, step)
		}
		at = to
	}
}

// step is by how much a phase turns from one sample to the next at a pitch, in 2⁻⁶⁴
// turns; none from half the rate on. Pitches count to 2⁻²⁰ of a semitone.
func (m *mixer) step(pitch float64) uint64 {
	pitch = float64(math.Floor(float64(pitch*(1<<20))+0.5) / (1 << 20))
	turns := hertz(float64(m.Plan.Rig.A4), pitch) / Rate
	if turns >= 0.5 {
		return 0
	}
	return uint64(int64(float64(turns*(1<<62)))) << 2
}

// read fills a wave in: of the key, or of the two keys that a bent pitch lies between.
func (m *mixer) read(p *player, wave []int32, pitch float64, step uint64) {
	place := int64(math.Floor(float64((pitch-p.detune)*(1<<16)) + 0.5))
	key, share := int(place>>16), place&0xFFFF
	if share == 0 {
		p.phase = read(wave, p.tones.of(key), p.phase, step)
		return
	}
	p.phase = readBetween(wave, p.tones.of(key), p.tones.of(key+1), share, p.phase, step)
}
