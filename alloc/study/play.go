package study

import (
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
	return edges(r, p, NewReference(r, p), timing.Export)
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
