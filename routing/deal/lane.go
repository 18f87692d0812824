package deal

import (
	"time"

	"choirloft/alloc"
	"choirloft/alloc/timing"
	"choirloft/midi"
)

// Lane is what one voice plays. Its ticks are those of what is written.
type Lane struct {
	Voice     int // index into Rig.Voices
	Home      Home
	Notes     []Note // in the order of time; none begins before the last has ended
	Bends     []Move // what the pitch is above the note's key, in semitones
	Pressures []Move // 0–127
}

// Note is one note of a lane.
type Note struct {
	On, Off  midi.Tick // Off is later than On
	Key      midi.Key
	Velocity uint8
	ID       alloc.NoteID // in the replay of its pass
}

// Move is a change of a bend or a pressure.
type Move struct {
	Tick  midi.Tick
	Value float64
}

// lanes makes the lanes of a pass from the edges of its voices.
func (d *Deal) lanes(p *Pass, homes []Home, voices [][]timing.Edge) {
	sounds := make([]bool, len(p.Replay.Outcomes))
	for i, edges := range voices {
		if homes[i].Interface < 0 {
			continue
		}
		b := &laneWriter{Deal: d, Lane: Lane{Voice: i, Home: homes[i]}, edges: edges, sounds: sounds, tune: NewTuner(d.Plan, i, homes[i])}
		b.write()
		p.Lanes = append(p.Lanes, b.Lane)
		p.Short += b.short
	}
	for id := range sounds {
		if o := &p.Replay.Outcomes[id]; o.Voice != alloc.NoVoice && !sounds[id] {
			p.Silent++
		}
	}
}

// laneWriter turns the edges of a voice into its lane.
type laneWriter struct {
	*Deal
	Lane
	edges  []timing.Edge
	gates  []gate
	tune   Tuner
	sounds []bool // by note: it has a gate somewhere

	base  float64 // key of the latest note
	pitch float64 // where the pitch is, for glides to begin from
	moved bool    // it is somewhere
	short int
}

// gate is the gate of one note in ticks; of one that is left out, off is not
// after on.
type gate struct {
	on, off midi.Tick
	low     time.Duration
}

func (b *laneWriter) write() {
	b.round()
	var (
		pitch, pressure *timing.Edge // that start the next note
		next            int          // gate
		dead            = true       // there is no gate, or it is left out
		off             midi.Tick    // of the last note
	)
	for i := range b.edges {
		switch e := &b.edges[i]; {
		case e.Kind == timing.Pitch && e.Starts:
			pitch = e
		case e.Kind == timing.Pressure && e.Starts:
			pressure = e
		case e.Kind == timing.GateHigh:
			g := b.gates[next]
			next++
			if dead = g.off <= g.on; dead {
				continue
			}
			b.begin(g, pitch, pressure, max(off, b.before(pitch.At)), b.until(i))
			off = g.off
		case dead:
		case e.Kind == timing.Pitch:
			b.sounds[e.Note] = true
			b.move(e, b.before(e.At), b.until(i))
		case e.Kind == timing.Pressure:
			b.Pressures = append(b.Pressures, Move{b.before(e.At), e.Value})
		}
	}
}

// round finds the ticks of all gates.
func (b *laneWriter) round() {
	for i := range b.edges {
		switch e := &b.edges[i]; e.Kind {
		case timing.GateHigh:
			b.gates = append(b.gates, gate{on: b.before(e.At)})
		case timing.GateLow:
			b.gates[len(b.gates)-1].low = e.At
		}
	}
	for i := range b.gates {
		g := &b.gates[i]
		g.off = max(g.on+1, b.after(g.low)) // one tick, where the rig has no shortest gate
		if i+1 < len(b.gates) {
			g.off = min(g.off, b.before(b.Tempo.At(b.gates[i+1].on)-b.Plan.Rules.Gap))
		}
		if g.off > g.on && b.Tempo.At(g.off)-b.Tempo.At(g.on) < b.Plan.Rules.Config.MinGate {
			b.short++
		}
	}
}

// before is the last tick that is no later than a time, after the first that
// is no earlier.
func (b *laneWriter) before(at time.Duration) midi.Tick { return b.Tempo.Tick(at) }

func (b *laneWriter) after(at time.Duration) midi.Tick {
	t := b.Tempo.Tick(at)
	if b.Tempo.At(t) < at {
		t++
	}
	return t
}

// until is when the next edge of the pitch after an edge comes.
func (b *laneWriter) until(i int) time.Duration {
	for _, e := range b.edges[i+1:] {
		if e.Kind == timing.Pitch {
			return e.At
		}
	}
	return 1<<63 - 1
}

// begin writes a note and what is set for it from the tick ready on.
func (b *laneWriter) begin(g gate, pitch, pressure *timing.Edge, ready midi.Tick, until time.Duration) {
	ready = min(ready, g.on)
	key := KeyOf(pitch)
	b.base = float64(key)
	b.move(pitch, ready, until)
	b.Pressures = append(b.Pressures, Move{ready, pressure.Value})
	b.Notes = append(b.Notes, Note{On: g.on, Off: g.off, Key: key, Velocity: pitch.Velocity, ID: pitch.Note})
	b.sounds[pitch.Note] = true
}
