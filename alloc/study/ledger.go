package study

import (
	"math"
	"slices"
	"time"

	"choirloft/alloc"
)

// ledger keeps what became of every note while an engine decides.
type ledger struct {
	rules    Rules
	ref      *Reference
	outcomes []Outcome
	cuts     []Cut
	gates    gates // of a run that keeps time
}

// open begins a run. What was kept of an earlier one is overwritten.
func (l *ledger) open(r Rules, ref *Reference) {
	l.rules, l.ref, l.cuts, l.gates = r, ref, l.cuts[:0], gates{}
	l.outcomes = slices.Grow(l.outcomes[:0], len(ref.Notes))[:len(ref.Notes)]
	for i := range l.outcomes {
		l.outcomes[i] = Outcome{Voice: alloc.NoVoice, By: alloc.NoNote, Low: math.Inf(1), High: math.Inf(-1)}
	}
}

// write takes one decision of the engine.
func (l *ledger) write(d *alloc.Decision) {
	o := &l.outcomes[d.Note]
	switch d.Kind {
	case alloc.Take, alloc.Reattack, alloc.Slide:
		l.begin(d, o)
		o.ask(d)
	case alloc.Bend:
		o.ask(d)
	case alloc.Drop:
		l.drop(d, o)
	case alloc.Defer:
		o.Cause, o.Outer = d.Cause, d.Outer // of a late start, if it comes to that
	}
	if math.Abs(d.Missed) > math.Abs(o.Missed) {
		o.Missed = d.Missed
	}
}

// writeLate takes a decision after which the gate opens so late.
func (l *ledger) writeLate(d *alloc.Decision, late time.Duration) {
	o := &l.outcomes[d.Note]
	l.write(d)
	switch d.Kind {
	case alloc.Take: // a note that has waited takes all its voices at once
		o.Late = max(o.Late, o.Waited+late)
	case alloc.Reattack, alloc.Slide:
		o.Late = max(o.Late, late)
	}
	l.gates.see(d, l.rules.Config.Voices, l.outcomes)
}

// ask counts the pitch that a decision asks for.
func (o *Outcome) ask(d *alloc.Decision) {
	wanted := d.Pitch - d.Missed/100
	o.Low, o.High = min(o.Low, wanted), max(o.High, wanted)
}

// begin lets a note have a voice, or go on with it under another key.
func (l *ledger) begin(d *alloc.Decision, o *Outcome) {
	if o.Voice == alloc.NoVoice {
		o.Voice, o.Voices, o.Fewest = int(d.Voice), int(d.Of), int(d.Of)
		l.late(d, o)
	}
	if d.Kind == alloc.Take && d.Cut != alloc.NoNote {
		l.cut(d)
	}
}

// late counts what a note has waited for its voices. By no more than a legato
// overlap it is whole, though some of it is lost.
func (l *ledger) late(d *alloc.Decision, o *Outcome) {
	o.Waited = d.At - l.ref.Notes[d.Note].Start
	o.Lost = o.Waited
	if o.Waited <= l.rules.Overlap {
		o.Cause, o.Outer = alloc.CauseNone, false
		return
	}
	o.Ending, o.At, o.LevelDB = LateStart, l.ref.Notes[d.Note].Start, math.Inf(-1)
}

func (l *ledger) drop(d *alloc.Decision, o *Outcome) {
	n := &l.ref.Notes[d.Note]
	if n.End == n.Start && n.Superseded {
		o.Low, o.High, o.Cause, o.Outer = float64(n.Sounding), float64(n.Sounding), alloc.CauseNone, false
		return // struck again at the same instant: there was nothing to lose
	}
	*o = Outcome{Voice: alloc.NoVoice, Ending: Dropped, At: n.Start, Lost: n.End - n.Start,
		LevelDB: math.Inf(-1), By: alloc.NoNote, Cause: d.Cause, Outer: d.Outer,
		Low: float64(n.Sounding), High: float64(n.Sounding)}
}

// cut says how the note ended that lost its voice, or its tail; or that it goes
// on with fewer voices.
func (l *ledger) cut(d *alloc.Decision) {
	l.cuts = append(l.cuts, Cut{Note: d.Cut, By: d.Note, Voice: d.Voice, At: d.At, Left: d.CutLeft})
	o := &l.outcomes[d.Cut]
	if d.CutLeft > 0 {
		o.Fewest = min(o.Fewest, int(d.CutLeft))
		return
	}
	ending := l.endingOf(d)
	if ending.Damaged() {
		o.Lost = o.Waited + l.ref.Notes[d.Cut].End - d.At
	}
	switch {
	case ending == Complete,
		o.Ending == LateStart && (ending == OverlapOnly || ending >= TailCutOwnKey),  // it has the worse ending
		ending >= TailCutOwnKey && o.Ending >= TailCutOwnKey && o.LevelDB >= d.CutDB: // of a unison's tails the loudest counts
		return
	}
	o.Ending, o.At, o.LevelDB, o.By, o.Cause, o.Outer = ending, d.At, d.CutDB, d.Note, d.Cause, d.Outer
	o.Repitched = l.rules.Config.Voices[d.Voice].InTurn
}

// endingOf applies the precedence born-cut, pedal-cut, overlap-only, held-cut
// to a note whose gate was taken, and the audible limit to a tail. Born is when
// its gate opened, however late.
func (l *ledger) endingOf(d *alloc.Decision) Ending {
	n := &l.ref.Notes[d.Cut]
	lost, sounded := n.End-d.At, d.At-n.Start-l.outcomes[d.Cut].Waited
	switch {
	case d.Was == alloc.Tail && d.CutDB <= l.rules.LimitDB:
		return TailCutInaudible
	case d.Was == alloc.Tail && d.OwnKey():
		return TailCutOwnKey
	case d.Was == alloc.Tail:
		return TailCutOtherKey
	case lost <= 0:
		return Complete
	case sounded == 0 || sounded < l.rules.Config.MinGate:
		return BornCut
	case d.Was == alloc.Pedal:
		return PedalCut
	case lost <= l.rules.Overlap:
		return OverlapOnly
	}
	return HeldCut
}

// finish names the superseded notes, which are known once the run is over.
func (l *ledger) finish() {
	for i := range l.ref.Notes {
		if o := &l.outcomes[i]; o.Ending == Complete && l.ref.Notes[i].Superseded {
			o.Ending = Superseded
		}
	}
}
