package study

import (
	"math"
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
	engine, err := alloc.New(r.Config)
	if err != nil {
		return nil, err
	}
	engine.Foresee(ref.Ends)
	w := newWitness(r, ref)
	for i := range p.Steps {
		engine.Feed(&p.Steps[i], w.see)
	}
	engine.Finish(p.End, w.see)
	return w.replay(), nil
}

// witness watches the engine and keeps what became of notes and voices.
type witness struct {
	rules    Rules
	ref      *Reference
	stage    *timing.Stage
	outcomes []Outcome
	tracks   []track
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

func newWitness(r Rules, ref *Reference) *witness {
	w := &witness{rules: r, ref: ref,
		stage: timing.New(timing.Rules{Gap: r.Gap, MinGate: r.Config.MinGate, Lead: r.Lead},
			timing.Live, len(r.Config.Voices), false),
		outcomes: make([]Outcome, len(ref.Notes)),
		tracks:   make([]track, len(r.Config.Voices))}
	for i := range w.outcomes {
		w.outcomes[i] = Outcome{Voice: alloc.NoVoice, By: alloc.NoNote}
	}
	return w
}

// see takes one decision of the engine.
func (w *witness) see(d *alloc.Decision) {
	late := w.stage.Decide(d)
	o := &w.outcomes[d.Note]
	switch d.Kind {
	case alloc.Take, alloc.Reattack, alloc.Slide:
		w.begin(d, o, late)
	case alloc.Drop:
		w.drop(d, o)
	case alloc.Release:
		w.tracks[d.Voice].release(d, &w.rules.Config)
	}
	if math.Abs(d.Missed) > math.Abs(o.Missed) {
		o.Missed = d.Missed
	}
}

// begin lets a note have a voice, or go on with it under another key.
func (w *witness) begin(d *alloc.Decision, o *Outcome, late time.Duration) {
	if o.Voice == alloc.NoVoice {
		o.Voice, o.Voices, o.Fewest = int(d.Voice), int(d.Of), int(d.Of)
		o.Waited = max(0, d.At-w.ref.Notes[d.Note].Start)
		o.Lost = o.Waited
		late += o.Waited
	}
	o.Late = max(o.Late, late)
	if d.Kind == alloc.Take && d.Cut != alloc.NoNote {
		w.cut(d)
	}
	t := &w.tracks[d.Voice]
	t.take(d)
	if d.Kind == alloc.Take || d.Cut != alloc.NoNote {
		t.Takes++
	}
}

func (w *witness) drop(d *alloc.Decision, o *Outcome) {
	n := &w.ref.Notes[d.Note]
	if n.End == n.Start {
		return // struck again at the same instant: there was nothing to lose
	}
	*o = Outcome{Voice: alloc.NoVoice, Ending: Dropped, At: d.At, Lost: n.End - n.Start,
		LevelDB: math.Inf(-1), By: alloc.NoNote, Cause: d.Cause, Outer: d.Outer}
}

// cut says how the note ended that lost its voice, or its tail; or that it goes
// on with fewer voices.
func (w *witness) cut(d *alloc.Decision) {
	o := &w.outcomes[d.Cut]
	if d.CutLeft > 0 {
		o.Fewest = min(o.Fewest, int(d.CutLeft))
		return
	}
	ending := w.endingOf(d)
	if ending == Complete || ending >= TailCutOwnKey && o.Ending >= TailCutOwnKey && o.LevelDB >= d.CutDB {
		return // of a unison's tails the loudest counts
	}
	o.Ending, o.At, o.LevelDB, o.By, o.Cause, o.Outer = ending, d.At, d.CutDB, d.Note, d.Cause, d.Outer
	if ending.Damaged() {
		o.Lost = o.Waited + w.ref.Notes[d.Cut].End - d.At
	}
}

// endingOf applies the precedence born-cut, pedal-cut, overlap-only, held-cut
// to a note whose gate was taken, and the audible limit to a tail.
func (w *witness) endingOf(d *alloc.Decision) Ending {
	n := &w.ref.Notes[d.Cut]
	lost, sounded := n.End-d.At, d.At-n.Start
	switch {
	case d.Was == alloc.Tail && d.CutDB <= w.rules.LimitDB:
		return TailCutInaudible
	case d.Was == alloc.Tail && d.CutKey == d.Key:
		return TailCutOwnKey
	case d.Was == alloc.Tail:
		return TailCutOtherKey
	case lost <= 0:
		return Complete
	case sounded == 0 || sounded < w.rules.Config.MinGate:
		return BornCut
	case d.Was == alloc.Pedal:
		return PedalCut
	case lost <= w.rules.Overlap:
		return OverlapOnly
	}
	return HeldCut
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
