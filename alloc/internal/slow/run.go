package slow

import (
	"math"
	"math/rand/v2"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Notes are the notes of a performance when voices are without limit.
type Notes struct {
	Notes       []Note // by alloc.NoteID
	Orphans     int    // offs whose on is not in the song
	PartOrphans []int  // those that each part's keys and channels would take
	Unmapped    int    // note-ons that no part takes
	End         time.Duration
}

// Ends are the ends of the reference intervals, by alloc.NoteID.
func (n Notes) Ends() []time.Duration {
	ends := make([]time.Duration, 0, len(n.Notes))
	for _, note := range n.Notes {
		ends = append(ends, note.End)
	}
	return ends
}

// Reference gives the notes of a performance that ends at end.
func Reference(cfg alloc.Config, steps []midi.Step, end time.Duration) Notes {
	g := newGates(cfg)
	g.run(steps, end)
	return g.reference(end)
}

// pool is the second pass.
type pool struct {
	cfg     alloc.Config
	gates   []gate
	ends    []time.Duration
	voices  []voice
	pointer []int        // by part: the voice it took last, −1 at first
	rng     []*rand.Rand // by part
	now     time.Duration
	out     []alloc.Decision
}

// Run gives the decisions of a performance that ends at end. ends are the
// reference ends of the notes, which the foresight rules need; others may
// leave them nil.
func Run(cfg alloc.Config, steps []midi.Step, end time.Duration, ends []time.Duration) []alloc.Decision {
	g := newGates(cfg)
	g.run(steps, end)
	p := &pool{cfg: cfg, gates: g.notes, ends: ends}
	for _, v := range cfg.Voices {
		p.voices = append(p.voices, voice{Voice: v, note: -1})
	}
	for _, part := range cfg.Parts {
		p.pointer = append(p.pointer, -1)
		p.rng = append(p.rng, rand.New(rand.NewPCG(part.Seed, 0)))
	}
	for _, h := range g.out {
		p.now = h.at
		for i := range p.voices {
			p.voices[i].expire(h.at, cfg.FreeDB)
		}
		p.happen(h)
	}
	return p.out
}

func (p *pool) happen(h happening) {
	switch h.kind {
	case opened:
		p.open(h)
	case kept:
		if v := p.voiceOf(h.note); v >= 0 {
			p.voices[v].state = alloc.Pedal
			p.emit(alloc.Hold, h.note, v)
		}
	case closed:
		if v := p.voiceOf(h.note); v >= 0 {
			p.emit(alloc.Release, h.note, v)
			p.voices[v].gateLow(h.at)
			p.voices[v].expire(h.at, p.cfg.FreeDB)
		}
	case bent:
		p.bend(h.line, h.bend)
	case pressed:
		if v := p.voiceOf(h.note); v >= 0 && p.voices[v].pressure != h.pressure {
			p.voices[v].pressure = h.pressure
			p.emit(alloc.Pressure, h.note, v)
		}
	}
}

// voiceOf is the voice that keeps the gate of the note up, or −1.
func (p *pool) voiceOf(note int) int {
	for i, v := range p.voices {
		if v.note == note && v.sounds() {
			return i
		}
	}
	return -1
}

// bend moves the voices of a channel that are held or on the pedal, and its
// tails where the part wants that.
func (p *pool) bend(l line, b bend) {
	for note, n := range p.gates {
		part := p.cfg.Parts[n.Part]
		for i := range p.voices {
			v := &p.voices[i]
			moves := v.sounds() || v.state == alloc.Tail && part.BendTails
			if v.note != note || !moves || !n.on(l) {
				continue
			}
			to := fit(v.key, bendOf(part, b), v.Window, part.OutOfRange)
			if to != v.pitch {
				v.pitch = to
				p.emit(alloc.Bend, note, i)
			}
		}
	}
}

// emit says something of a note on the voice that plays it.
func (p *pool) emit(kind alloc.DecisionKind, note, v int) {
	d := p.decision(kind, note, v)
	d.Was = p.voices[v].state
	p.out = append(p.out, d)
}

// decision fills in what the note and, if v is not NoVoice, the voice say.
func (p *pool) decision(kind alloc.DecisionKind, note, v int) alloc.Decision {
	n := p.gates[note]
	d := alloc.Decision{At: p.now, Kind: kind, Note: alloc.NoteID(note), Part: int32(n.Part),
		Cut: alloc.NoNote, CutPart: -1, Voice: int32(v), Key: int16(n.Sounding), Velocity: n.Velocity,
		CutDB: math.Inf(-1)}
	if v != alloc.NoVoice {
		d.Pitch, d.Missed = p.voices[v].pitch.given, p.voices[v].pitch.missed
		d.Pressure = p.voices[v].pressure
	}
	return d
}

// open gives a note its voice: that of the note it supersedes, if that has one
// still, or else one that is picked or stolen.
func (p *pool) open(h happening) {
	if h.prev >= 0 {
		if v := p.voiceOf(h.prev); v >= 0 {
			p.start(alloc.Reattack, h, v, alloc.CauseNone)
			return
		}
	}
	v, cause := p.choose(h)
	if v == alloc.NoVoice {
		d := p.decision(alloc.Drop, h.note, v)
		d.Cause, d.Outer = cause, p.outer(h.note, d.Key)
		p.out = append(p.out, d)
		return
	}
	p.start(alloc.Take, h, v, cause)
}

// start puts the note on the voice.
func (p *pool) start(kind alloc.DecisionKind, h happening, i int, cause alloc.Cause) {
	n, part, v := p.gates[h.note], p.cfg.Parts[p.gates[h.note].Part], &p.voices[i]
	before := *v
	outer := kind == alloc.Take && v.sounds() && p.outer(h.note, int16(v.key))
	v.from = v.level(h.at) // silent if it was free
	v.attack, v.state, v.note = h.at, alloc.Held, h.note
	v.key, v.velocity, v.pressure = n.Sounding, n.Velocity, h.pressure
	v.pitch = fit(v.key, bendOf(part, h.bend), v.Window, part.OutOfRange)
	p.pointer[n.Part] = i

	d := p.decision(kind, h.note, i)
	d.Was, d.Cause, d.Outer = before.state, cause, outer
	d.CutKey, d.CutDB = int16(before.key), before.levelDB(h.at)
	if before.state != alloc.Free {
		d.Cut, d.CutPart = alloc.NoteID(before.note), int32(p.gates[before.note].Part)
	}
	p.out = append(p.out, d)
}
