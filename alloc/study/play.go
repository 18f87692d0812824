package study

import (
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/timing"
)

// Play runs a song through the rig as it would go live: it makes the
// reference, then lets the engine decide, and says how every note ended.
func Play(r Rules, p Performance) (*Replay, error) {
	return PlayReference(r, p, NewReference(r, p))
}

// PlayReference is [Play] with a reference that was made before for the same
// parts and performance; voices, picking and stealing may differ.
func PlayReference(r Rules, p Performance, ref *Reference) (*Replay, error) {
	w := newWitness(r, ref, timing.Live, false)
	if err := run(r.Config, p, ref, w.see); err != nil {
		return nil, err
	}
	return w.replay(p), nil
}

// Export runs a song as an export plays it: the same decisions, but no note
// waits for a gap, which comes off the note before. Beside what became of the
// notes it returns the edges of each voice, by index, in the order of time.
func Export(r Rules, p Performance) (*Replay, [][]timing.Edge, error) {
	replay, voices, err := edges(r, p, NewReference(r, p), timing.Export)
	if err != nil {
		return nil, nil, err
	}
	return replay, join(r.Config, voices), nil
}

// Edges is [PlayReference] with the edges of each voice, as [Export] has them.
func Edges(r Rules, p Performance, ref *Reference) (*Replay, [][]timing.Edge, error) {
	return edges(r, p, ref, timing.Live)
}

func edges(r Rules, p Performance, ref *Reference, policy timing.Policy) (*Replay, [][]timing.Edge, error) {
	w := newWitness(r, ref, policy, true)
	if err := run(r.Config, p, ref, w.see); err != nil {
		return nil, nil, err
	}
	return w.replay(p), w.stage.Voices(), nil
}

// join gives the voices that are Joined with another the edges of that one.
func join(cfg alloc.Config, voices [][]timing.Edge) [][]timing.Edge {
	turns := map[int][]int{} // by voice, of which gates open in turn: itself and who is Joined with it
	for i, v := range cfg.Voices {
		if v.State != alloc.Joined || !cfg.Voices[v.With].State.InService() {
			continue
		}
		voices[i] = slices.Clone(voices[v.With])
		for n := range voices[i] {
			voices[i][n].Voice = i
		}
		if cfg.Voices[v.With].InTurn {
			if turns[v.With] == nil {
				turns[v.With] = []int{v.With}
			}
			turns[v.With] = append(turns[v.With], i)
		}
	}
	for _, group := range turns {
		for place, i := range group {
			voices[i] = inTurn(voices[i], place, len(group))
		}
	}
	return voices
}

// inTurn leaves of edges every n-th gate, from one place on, with what belongs to it.
// The pitch moves for all.
func inTurn(edges []timing.Edge, place, n int) (own []timing.Edge) {
	gate, coming := -1, false // coming: what is next is for the gate after
	for _, e := range edges {
		switch {
		case e.Kind == timing.GateHigh:
			gate, coming = gate+1, false
		case e.Kind == timing.Pitch && e.Starts:
			coming = true
		}
		of := gate
		if coming && e.Kind != timing.GateLow {
			of++
		}
		mine := of%n == place
		if e.Kind == timing.Pitch {
			e.Starts, mine = e.Starts && mine, true
		}
		if mine {
			own = append(own, e)
		}
	}
	return own
}

// run lets an engine play a performance, and tells see what it decides.
func run(cfg alloc.Config, p Performance, ref *Reference, see func(*alloc.Decision)) error {
	engine, err := alloc.New(cfg)
	if err != nil {
		return err
	}
	engine.Foresee(ref.Future(cfg))
	if ref.script.Of(p.Steps, p.End) {
		engine.Play(ref.script, see)
		return nil
	}
	for i := range p.Steps {
		engine.Feed(&p.Steps[i], see)
	}
	engine.Finish(p.End, see)
	return nil
}

// witness watches the engine and keeps what became of notes and voices.
type witness struct {
	ledger
	stage  *timing.Stage
	tracks []track
}

func newWitness(r Rules, ref *Reference, policy timing.Policy, record bool) *witness {
	w := &witness{
		stage:  r.stage(policy, record),
		tracks: make([]track, len(r.Config.Voices)),
	}
	w.open(r, ref)
	return w
}

// stage keeps the times of the voices.
func (r *Rules) stage(policy timing.Policy, record bool) *timing.Stage {
	return timing.New(timing.Rules{Gap: r.Gap, MinGate: r.Config.MinGate, Lead: r.Lead}, policy, len(r.Config.Voices), record)
}

// see takes one decision of the engine.
func (w *witness) see(d *alloc.Decision) {
	w.writeLate(d, w.stage.Decide(d))
	switch d.Kind {
	case alloc.Take, alloc.Reattack, alloc.Slide:
		w.tracks[d.Voice].take(d)
	case alloc.Release:
		w.tracks[d.Voice].release(d, &w.rules.Config)
	}
}

// track is what a witness knows of one voice.
type track struct {
	VoiceUse
	from    time.Duration // gate high since
	off     time.Duration // gate low since
	tailEnd time.Duration
	key     int16
	used    bool
}

func (t *track) take(d *alloc.Decision) {
	if t.used {
		t.MostSemitones = max(t.MostSemitones, distance(d.Key, t.key))
		if d.Was == alloc.Held || d.Was == alloc.Pedal {
			t.open(d.At)
		} else {
			t.Sounding += min(d.At, t.tailEnd) - t.off
		}
	}
	t.from, t.key, t.used = d.At, d.Key, true
	if d.Kind == alloc.Take || d.Cut != alloc.NoNote {
		t.Takes++
	}
}

func (t *track) release(d *alloc.Decision, cfg *alloc.Config) {
	t.open(d.At)
	t.off = d.At
	t.tailEnd = d.At + cfg.Voices[d.Voice].Envelope.Fade(d.CutDB, cfg.FreeDB)
}

// open counts the time up to now for which the gate was high.
func (t *track) open(now time.Duration) {
	t.Held += now - t.from
	t.Sounding += now - t.from
}

func distance(a, b int16) int { return int(max(a-b, b-a)) }
