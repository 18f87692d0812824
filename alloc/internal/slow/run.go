package slow

import (
	"math"
	"math/rand/v2"
	"slices"
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

// Future is what the foresight rules are told: the ends of the reference
// intervals and, as there is no plan here, worths made up from the notes, of
// which many are equal.
func (n Notes) Future() alloc.Future {
	var f alloc.Future
	for i, note := range n.Notes {
		f.Ends = append(f.Ends, note.End)
		f.Worth = append(f.Worth, int64(3*i+5*int(note.Key)+int(note.Velocity))%4)
	}
	return f
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
	future  alloc.Future
	heard   []sound // by note
	voices  []voice
	waiting [][]int    // by part: the notes that wait for voices, the oldest first
	pointer []int      // by part: the voice it took last, −1 at first
	rng     []rand.PCG // by part
	now     time.Duration
	out     []alloc.Decision
	spans   []Span
	doubt   bool
}

// sound is how a note stands at present, voice or no voice.
type sound struct {
	line     line
	key      int     // sounding
	bend     float64 // semitones
	pressure uint8
	stale    bool // a tail whose member channel plays another note
}

// Run gives the decisions of a performance that ends at end. The
// foresight rules need the future; others may do without.
func Run(cfg alloc.Config, steps []midi.Step, end time.Duration, f alloc.Future) []alloc.Decision {
	ds, _ := Play(cfg, steps, end, f)
	return ds
}

// Play does the same, and tells whether a decision was in doubt: whether two
// levels had to be told apart that differ by no more than rounding could make,
// though they are not the same by their origin.
func Play(cfg alloc.Config, steps []midi.Step, end time.Duration, f alloc.Future) (ds []alloc.Decision, doubt bool) {
	p := play(cfg, steps, end, f)
	return p.out, p.doubt
}

// Spans gives instead which voice played which note when.
func Spans(cfg alloc.Config, steps []midi.Step, end time.Duration, f alloc.Future) (spans []Span, doubt bool) {
	p := play(cfg, steps, end, f)
	return p.spans, p.doubt
}

func play(cfg alloc.Config, steps []midi.Step, end time.Duration, f alloc.Future) *pool {
	g := newGates(cfg)
	g.run(steps, end)
	p := &pool{cfg: cfg, gates: g.notes, future: f, heard: make([]sound, len(g.notes)),
		waiting: make([][]int, len(cfg.Parts))}
	for _, v := range cfg.Voices {
		p.voices = append(p.voices, voice{Voice: v, note: -1})
	}
	for _, part := range cfg.Parts {
		p.pointer = append(p.pointer, -1)
		p.rng = append(p.rng, *rand.NewPCG(part.Seed, 0))
	}
	for _, h := range g.out {
		for p.fade(h.at) {
			p.tryWaiting()
		}
		p.pass(h.at)
		p.happen(h)
		p.tryWaiting()
	}
	return p
}

// fade goes on to the next instant at which a tail ends, if it is not after t.
func (p *pool) fade(t time.Duration) bool {
	found := false
	for _, v := range p.voices {
		if end := v.low + silentAfter(v.Envelope, v.lowDB, p.cfg.FreeDB); v.state == alloc.Tail && end <= t {
			t, found = end, true
		}
	}
	if found {
		p.pass(t)
	}
	return found
}

// pass lets the time pass to an instant: tails that have ended are free.
func (p *pool) pass(to time.Duration) {
	p.now = to
	for i := range p.voices {
		p.voices[i].expire(to, p.cfg.FreeDB)
	}
}

func (p *pool) happen(h happening) {
	switch h.kind {
	case opened:
		p.heard[h.note] = sound{h.line, h.sounding, h.bend, h.pressure, false}
		p.silenceOthers(h)
		p.open(h)
	case muted:
		p.silenceOthers(h)
	case returned:
		p.heard[h.note] = sound{h.line, h.sounding, h.bend, h.pressure, false}
		p.goOn(h)
	case raised:
		p.dropWaiting(h.note)
	case kept:
		for _, v := range p.voicesOf(h.note) {
			p.voices[v].state = alloc.Pedal
			p.emit(alloc.Hold, h.note, v)
		}
	case closed:
		if p.dropWaiting(h.note) {
			break // by CC120: it had no gate to close
		}
		p.release(h.note)
	case bent:
		p.bend(h)
	case pressed:
		p.heard[h.note].pressure = h.pressure
		for _, v := range p.voicesOf(h.note) {
			if p.voices[v].pressure != h.pressure {
				p.voices[v].pressure = h.pressure
				p.emit(alloc.Pressure, h.note, v)
			}
		}
	}
}

// voicesOf are the voices that keep the gate of the note up, by position.
func (p *pool) voicesOf(note int) []int {
	var found []int
	for position := range p.voices { // there are no more positions than voices
		for i, v := range p.voices {
			if v.note == note && v.sounds() && v.position == position {
				found = append(found, i)
			}
		}
	}
	return found
}

// release closes the gate of a note.
func (p *pool) release(note int) {
	voices := p.voicesOf(note)
	for _, v := range voices {
		p.emit(alloc.Release, note, v)
		p.level(v) // for the doubt
		p.voices[v].gateLow(p.now)
		p.fall(v)
		p.voices[v].expire(p.now, p.cfg.FreeDB)
	}
	p.regrow(note, voices)
}

// bend moves the voices of a channel that are held or on the pedal, and its
// tails where the part wants that.
func (p *pool) bend(h happening) {
	for note, n := range p.gates {
		part := p.cfg.Parts[n.Part]
		if p.heard[note].line != h.line || p.heard[note].stale {
			continue
		}
		p.heard[note].bend = h.bends[n.Part]
		for i := range p.voices {
			v := &p.voices[i]
			if moves := v.sounds() || v.state == alloc.Tail && part.BendTails; v.note != note || !moves {
				continue
			}
			if to := p.pitchOf(note, i); to != v.pitch {
				v.pitch = to
				p.emit(alloc.Bend, note, i)
			}
		}
	}
}

// silenceOthers keeps the tails of a member channel at their last bend when
// the channel is used again.
func (p *pool) silenceOthers(h happening) {
	if len(p.cfg.Parts[p.gates[h.note].Part].Zones) == 0 {
		return
	}
	for note := range h.note {
		if p.heard[note].line == h.line && len(p.voicesOf(note)) == 0 && !slices.Contains(p.waiting[p.gates[note].Part], note) {
			p.heard[note].stale = true
		}
	}
}

// level is that of a voice.
func (p *pool) level(i int) float64 {
	level, doubt := p.voices[i].level(p.now)
	p.doubt = p.doubt || doubt
	return level
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
		Cut: alloc.NoNote, CutPart: -1, Voice: int32(v), Key: int16(p.heard[note].key), Velocity: n.Velocity,
		CutDB: math.Inf(-1), Of: 1}
	if v != alloc.NoVoice {
		d.Pitch, d.Missed = p.voices[v].pitch.given, p.voices[v].pitch.missed
		d.Pressure, d.Position = p.voices[v].pressure, int16(p.voices[v].position)
		d.Of = int16(len(p.voicesOf(note)))
	}
	return d
}
