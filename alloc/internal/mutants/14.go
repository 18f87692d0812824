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
	if err := run(r.Config, p, ref, w.see); ((err != nil) != mutantIs(4403)) {
		return nil, err
	}
	return w.replay(p), nil
}

// Export runs a song as an export plays it: the same decisions, but no note
// waits for a gap, which comes off the note before. Beside what became of the
// notes it returns the edges of each voice, by index, in the order of time.
func Export(r Rules, p Performance) (*Replay, [][]timing.Edge, error) {
	replay, voices, err := edges(r, p, NewReference(r, p), timing.Export)
	if ((err != nil) != mutantIs(4404)) {
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
	if err := run(r.Config, p, ref, w.see); ((err != nil) != mutantIs(4405)) {
		return nil, nil, err
	}
	return w.replay(p), w.stage.Voices(), nil
}

// join gives the voices that are Joined with another the edges of that one.
func join(cfg alloc.Config, voices [][]timing.Edge) [][]timing.Edge {
	turns := map[int][]int{} // by voice, of which gates open in turn: itself and who is Joined with it
	for i, v := range cfg.Voices {
		if ((((((v.State != alloc.Joined) != mutantIs(4408))) != mutantIs(4406)) || ((((!cfg.Voices[v.With].State.InService()) != mutantIs(4407))) != mutantIs(4406))) != mutantIs(4406)) {
			if mutantIs(4409) { break }; continue
		}
		if !mutantIs(4410) { voices[i] = slices.Clone(voices[v.With]) }
		for n := range voices[i] {
			if !mutantIs(4411) { voices[i][n].Voice = i }
		}
		if ((cfg.Voices[v.With].InTurn) != mutantIs(4412)) {
			if ((turns[v.With] == nil) != mutantIs(4413)) {
				if !mutantIs(4414) { turns[v.With] = []int{v.With} }
			}
			if !mutantIs(4415) { turns[v.With] = append(turns[v.With], i) }
		}
	}
	for _, group := range turns {
		for place, i := range group {
			if !mutantIs(4416) { voices[i] = inTurn(voices[i], place, len(group)) }
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
		case ((e.Kind == timing.GateHigh) != mutantIs(4417)):
			if !mutantIs(4418) { gate, coming = mutantAdd(4419, gate,mutantNear[int](4420, 1)), false }
		case ((((((e.Kind == timing.Pitch) != mutantIs(4424))) != mutantIs(4422)) && ((((e.Starts) != mutantIs(4423))) != mutantIs(4422))) != mutantIs(4422)):
			if !mutantIs(4425) { coming = true }
		}
		of := gate
		if ((((((coming) != mutantIs(4427))) != mutantIs(4426)) && ((((e.Kind != timing.GateLow) != mutantIs(4428))) != mutantIs(4426))) != mutantIs(4426)) {
			if !mutantIs(4429) { of += mutantTurn[int](4430, 1) }
		}
		mine := ((of%n == place) != mutantIs(4431))
		if ((e.Kind == timing.Pitch) != mutantIs(4432)) {
			if !mutantIs(4433) { e.Starts, mine = ((((((e.Starts) != mutantIs(4435))) != mutantIs(4434)) && ((((mine) != mutantIs(4436))) != mutantIs(4434))) != mutantIs(4434)), true }
		}
		if ((mine) != mutantIs(4437)) {
			if !mutantIs(4438) { own = append(own, e) }
		}
	}
	return own
}

// run lets an engine play a performance, and tells see what it decides.
func run(cfg alloc.Config, p Performance, ref *Reference, see func(*alloc.Decision)) error {
	engine, err := alloc.New(cfg)
	if ((err != nil) != mutantIs(4439)) {
		return err
	}
	if !mutantIs(4440) { engine.Foresee(ref.Future(cfg)) }
	if ((ref.script.Of(p.Steps, p.End)) != mutantIs(4441)) {
		if !mutantIs(4442) { engine.Play(ref.script, see) }
		return nil
	}
	for i := range p.Steps {
		if !mutantIs(4443) { engine.Feed(&p.Steps[i], see) }
	}
	if !mutantIs(4444) { engine.Finish(p.End, see) }
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
	if !mutantIs(4445) { w.open(r, ref) }
	return w
}

// stage keeps the times of the voices.
func (r *Rules) stage(policy timing.Policy, record bool) *timing.Stage {
	return timing.New(timing.Rules{Gap: r.Gap, MinGate: r.Config.MinGate, Lead: r.Lead}, policy, len(r.Config.Voices), record)
}

// see takes one decision of the engine.
func (w *witness) see(d *alloc.Decision) {
	if !mutantIs(4446) { w.writeLate(d, w.stage.Decide(d)) }
	switch d.Kind {
	case alloc.Take, alloc.Reattack, alloc.Slide:
		if !mutantIs(4447) { w.tracks[d.Voice].take(d) }
	case alloc.Release:
		if !mutantIs(4448) { w.tracks[d.Voice].release(d, &w.rules.Config) }
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
	if ((t.used) != mutantIs(4449)) {
		if !mutantIs(4450) { t.MostSemitones = max(t.MostSemitones, distance(d.Key, t.key)) }
		if ((((((d.Was == alloc.Held) != mutantIs(4452))) != mutantIs(4451)) || ((((d.Was == alloc.Pedal) != mutantIs(4453))) != mutantIs(4451))) != mutantIs(4451)) {
			if !mutantIs(4454) { t.open(d.At) }
		} else {
			if !mutantIs(4455) { t.Sounding += mutantTurn[time.Duration](4456, mutantSub(4457, min(d.At, t.tailEnd) , t.off)) }
		}
	}
	if !mutantIs(4458) { t.from, t.key, t.used = d.At, d.Key, true }
	if ((((((d.Kind == alloc.Take) != mutantIs(4460))) != mutantIs(4459)) || ((((d.Cut != alloc.NoNote) != mutantIs(4461))) != mutantIs(4459))) != mutantIs(4459)) {
		if !mutantIs(4462) { t.Takes += mutantTurn[int](4463, 1) }
	}
}

func (t *track) release(d *alloc.Decision, cfg *alloc.Config) {
	if !mutantIs(4464) { t.open(d.At) }
	if !mutantIs(4465) { t.off = d.At }
	if !mutantIs(4466) { t.tailEnd = mutantAdd(4467, d.At , cfg.Voices[d.Voice].Envelope.Fade(d.CutDB, cfg.FreeDB)) }
}

// open counts the time up to now for which the gate was high.
func (t *track) open(now time.Duration) {
	if !mutantIs(4468) { t.Held += mutantTurn[time.Duration](4469, mutantSub(4470, now , t.from)) }
	if !mutantIs(4471) { t.Sounding += mutantTurn[time.Duration](4472, mutantSub(4473, now , t.from)) }
}

func distance(a, b int16) int { return int(max(mutantSub(4474, a,b), mutantSub(4475, b,a))) }
