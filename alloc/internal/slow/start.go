package slow

import (
	"fmt"
	"slices"

	"choirloft/alloc"
)

// open gives a note its voices: those of the note it supersedes, if that has
// any still, or else such as are picked or stolen. One that supersedes a note
// that waits, waits in its place, and that one never sounds.
func (p *pool) open(h happening) {
	if h.prev >= 0 {
		if voices := p.voicesOf(h.prev); len(voices) > 0 {
			p.follow(h, voices)
			return
		}
		part := p.gates[h.note].Part
		if at := slices.Index(p.waiting[part], h.prev); at >= 0 {
			p.drop(h.prev, p.whyNone(h.prev))
			p.waiting[part][at] = h.note
			p.deny(alloc.Defer, h.note, p.whyNone(h.note))
			return
		}
	}
	voices, cause := p.choose(h.note)
	switch {
	case len(voices) > 0:
		p.take(h.note, voices, cause)
	case p.waits(h.note):
		p.waiting[p.gates[h.note].Part] = append(p.waiting[p.gates[h.note].Part], h.note)
		p.deny(alloc.Defer, h.note, cause)
	default:
		p.drop(h.note, cause)
	}
}

func (p *pool) drop(note int, cause alloc.Cause) { p.deny(alloc.Drop, note, cause) }

func (p *pool) deny(kind alloc.DecisionKind, note int, cause alloc.Cause) {
	d := p.decision(kind, note, alloc.NoVoice)
	d.Cause, d.Outer = cause, p.outer(note, d.Key)
	p.out = append(p.out, d)
}

// cut is how a voice was found that is taken.
type cut struct {
	before voice
	db     float64
	outer  bool
}

func (p *pool) find(note, v int) cut {
	before := p.voices[v]
	db, doubt := before.levelDB(p.now)
	p.doubt = p.doubt || doubt
	return cut{before, db, before.sounds() && p.outer(note, int16(before.key))}
}

// take puts a note on voices that were chosen for it. Positions are in
// ascending voice number.
func (p *pool) take(note int, voices []int, cause alloc.Cause) {
	slices.Sort(voices)
	var cuts []cut
	for _, v := range voices {
		cuts = append(cuts, p.find(note, v))
	}
	for position, v := range voices {
		p.attack(note, v, position)
	}
	for k, v := range voices {
		p.out = append(p.out, p.taking(alloc.Take, note, v, cuts[k], cause))
	}
}

// taking is the decision that a note took a voice.
func (p *pool) taking(kind alloc.DecisionKind, note, v int, c cut, cause alloc.Cause) alloc.Decision {
	d := p.decision(kind, note, v)
	d.Was, d.CutKey, d.CutDB, d.Glide = c.before.state, int16(c.before.key), c.db, p.cfg.Parts[d.Part].Glide
	if c.before.state != alloc.Free {
		d.Cut, d.CutPart = alloc.NoteID(c.before.note), int32(p.gates[c.before.note].Part)
	}
	if kind == alloc.Take {
		d.Outer = c.outer
		switch {
		case c.before.sounds():
			d.Cause, d.CutLeft = cause, int16(len(p.voicesOf(c.before.note)))
		case c.before.state == alloc.Tail:
			d.Cause = alloc.CauseTail
		}
	}
	return d
}

// attack starts the envelope of a voice from the level it has: silence if it
// was free.
func (p *pool) attack(note, i, position int) {
	v := &p.voices[i]
	from, came := p.level(i), ""
	if from > 0 && !p.exact(i) {
		came = fmt.Sprint(v.came, v.state == alloc.Tail, v.attack, v.from, v.low, v.lowDB, ";")
	}
	v.from, v.came = from, came
	v.attack, v.position = p.now, position
	p.set(note, i)
	p.pointer[p.gates[note].Part] = i
}

// set lets a voice sound the note, at its pitch.
func (p *pool) set(note, i int) {
	p.enter(note, i)
	v := &p.voices[i]
	v.note, v.state = note, alloc.Held
	v.key, v.velocity, v.pressure = p.heard[note].key, p.gates[note].Velocity, p.heard[note].pressure
	v.pitch = p.pitchOf(note, i)
}

// follow lets a note have the voices of the one that it supersedes: they
// attack again, or, legato, only their pitch slides.
func (p *pool) follow(h happening, voices []int) {
	var cuts []cut
	for _, v := range voices {
		cuts = append(cuts, p.find(h.note, v))
	}
	kind := alloc.Reattack
	for _, v := range voices {
		if h.legato {
			kind = alloc.Slide
			p.set(h.note, v)
		} else {
			p.attack(h.note, v, p.voices[v].position)
		}
	}
	if !h.legato {
		p.pointer[p.gates[h.note].Part] = voices[len(voices)-1]
	}
	for k, v := range voices {
		p.out = append(p.out, p.taking(kind, h.note, v, cuts[k], alloc.CauseNone))
	}
}

// goOn lets the note of a mono part sound an earlier key again.
func (p *pool) goOn(h happening) {
	at := len(p.out)
	if voices := p.voicesOf(h.note); len(voices) > 0 {
		p.follow(h, voices)
	}
	for i := range p.out[at:] {
		p.out[at+i].Cut, p.out[at+i].CutPart = alloc.NoNote, -1
	}
}
