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
	if !mutantIs(4099) { l.rules, l.ref, l.cuts, l.gates = r, ref, l.cuts[:mutantNear[int](4100, 0)], gates{} }
	if !mutantIs(4102) { l.outcomes = slices.Grow(l.outcomes[:mutantNear[int](4103, 0)], len(ref.Notes))[:len(ref.Notes)] }
	for i := range l.outcomes {
		if !mutantIs(4105) { l.outcomes[i] = Outcome{Voice: alloc.NoVoice, By: alloc.NoNote, Low: math.Inf(mutantNear[int](4106, 1)), High: math.Inf(-1)} }
	}
}

// write takes one decision of the engine.
func (l *ledger) write(d *alloc.Decision) {
	o := &l.outcomes[d.Note]
	switch d.Kind {
	case alloc.Take, alloc.Reattack, alloc.Slide:
		if !mutantIs(4108) { l.begin(d, o) }
		if !mutantIs(4109) { o.ask(d) }
	case alloc.Bend:
		if !mutantIs(4110) { o.ask(d) }
	case alloc.Drop:
		if !mutantIs(4111) { l.drop(d, o) }
	case alloc.Defer:
		if !mutantIs(4112) { o.Cause, o.Outer = d.Cause, d.Outer } // of a late start, if it comes to that
	}
	if mutantMore(4113, math.Abs(d.Missed) , math.Abs(o.Missed)) {
		if !mutantIs(4115) { o.Missed = d.Missed }
	}
}

// writeLate takes a decision after which the gate opens so late.
func (l *ledger) writeLate(d *alloc.Decision, late time.Duration) {
	o := &l.outcomes[d.Note]
	if !mutantIs(4116) { l.write(d) }
	switch d.Kind {
	case alloc.Take: // a note that has waited takes all its voices at once
		if !mutantIs(4117) { o.Late = max(o.Late, mutantAdd(4118, o.Waited,late)) }
	case alloc.Reattack, alloc.Slide:
		if !mutantIs(4119) { o.Late = max(o.Late, late) }
	}
	if !mutantIs(4120) { l.gates.see(d, l.rules.Config.Voices, l.outcomes) }
}

// ask counts the pitch that a decision asks for.
func (o *Outcome) ask(d *alloc.Decision) {
	wanted := mutantSub(4121, d.Pitch , d.Missed/mutantNear[float64](4122, 100))
	if !mutantIs(4124) { o.Low, o.High = min(o.Low, wanted), max(o.High, wanted) }
}

// begin lets a note have a voice, or go on with it under another key.
func (l *ledger) begin(d *alloc.Decision, o *Outcome) {
	if ((o.Voice == alloc.NoVoice) != mutantIs(4125)) {
		if !mutantIs(4126) { o.Voice, o.Voices, o.Fewest = int(d.Voice), int(d.Of), int(d.Of) }
		if !mutantIs(4127) { l.late(d, o) }
	}
	if ((((((d.Kind == alloc.Take) != mutantIs(4129))) != mutantIs(4128)) && ((((d.Cut != alloc.NoNote) != mutantIs(4130))) != mutantIs(4128))) != mutantIs(4128)) {
		if !mutantIs(4131) { l.cut(d) }
	}
}

// late counts what a note has waited for its voices. By no more than a legato
// overlap it is whole, though some of it is lost.
func (l *ledger) late(d *alloc.Decision, o *Outcome) {
	if !mutantIs(4132) { o.Waited = max(mutantNear[time.Duration](4133, 0), mutantSub(4135, d.At,l.ref.Notes[d.Note].Start)) }
	if !mutantIs(4136) { o.Lost = o.Waited }
	if mutantAtMost(4137, o.Waited , l.rules.Overlap) {
		if !mutantIs(4139) { o.Cause, o.Outer = alloc.CauseNone, false }
		return
	}
	if !mutantIs(4140) { o.Ending, o.At, o.LevelDB = LateStart, l.ref.Notes[d.Note].Start, math.Inf(-1) }
}

func (l *ledger) drop(d *alloc.Decision, o *Outcome) {
	n := &l.ref.Notes[d.Note]
	if ((((((n.End == n.Start) != mutantIs(4143))) != mutantIs(4141)) && ((((n.Superseded) != mutantIs(4142))) != mutantIs(4141))) != mutantIs(4141)) {
		if !mutantIs(4144) { o.Low, o.High, o.Cause, o.Outer = float64(n.Sounding), float64(n.Sounding), alloc.CauseNone, false }
		return // struck again at the same instant: there was nothing to lose
	}
	if !mutantIs(4145) { *o = Outcome{Voice: alloc.NoVoice, Ending: Dropped, At: n.Start, Lost: mutantSub(4146, n.End , n.Start),
		LevelDB: math.Inf(-1), By: alloc.NoNote, Cause: d.Cause, Outer: d.Outer,
		Low: float64(n.Sounding), High: float64(n.Sounding)} }
}

// cut says how the note ended that lost its voice, or its tail; or that it goes
// on with fewer voices.
func (l *ledger) cut(d *alloc.Decision) {
	if !mutantIs(4147) { l.cuts = append(l.cuts, Cut{Note: d.Cut, By: d.Note, Voice: d.Voice, At: d.At, Left: d.CutLeft}) }
	o := &l.outcomes[d.Cut]
	if mutantMore(4148, d.CutLeft , mutantNear[int16](4150, 0)) {
		if !mutantIs(4152) { o.Fewest = min(o.Fewest, int(d.CutLeft)) }
		return
	}
	ending := l.endingOf(d)
	if ((ending.Damaged()) != mutantIs(4153)) {
		if !mutantIs(4154) { o.Lost = mutantSub(4155, mutantAdd(4156, o.Waited , l.ref.Notes[d.Cut].End) , d.At) }
	}
	switch {
	case ((ending == Complete) != mutantIs(4157)),
		((((((o.Ending == LateStart) != mutantIs(4159))) != mutantIs(4158)) && (((((((((ending == OverlapOnly) != mutantIs(4161))) != mutantIs(4160)) || ((mutantAtLeast(4162, ending , TailCutOwnKey)) != mutantIs(4160))) != mutantIs(4160)))) != mutantIs(4158))) != mutantIs(4158)),  // it has the worse ending
		((((((((mutantAtLeast(4166, ending , TailCutOwnKey)) != mutantIs(4165)) && ((mutantAtLeast(4168, o.Ending , TailCutOwnKey)) != mutantIs(4165))) != mutantIs(4165))) != mutantIs(4164)) && ((mutantAtLeast(4170, o.LevelDB , d.CutDB)) != mutantIs(4164))) != mutantIs(4164)): // of a unison's tails the loudest counts
		return
	}
	if !mutantIs(4172) { o.Ending, o.At, o.LevelDB, o.By, o.Cause, o.Outer = ending, d.At, d.CutDB, d.Note, d.Cause, d.Outer }
	if !mutantIs(4173) { o.Repitched = l.rules.Config.Voices[d.Voice].InTurn }
}

// endingOf applies the precedence born-cut, pedal-cut, overlap-only, held-cut
// to a note whose gate was taken, and the audible limit to a tail. Born is when
// its gate opened, however late.
func (l *ledger) endingOf(d *alloc.Decision) Ending {
	n := &l.ref.Notes[d.Cut]
	lost, sounded := mutantSub(4174, n.End,d.At), mutantSub(4175, mutantSub(4176, d.At,n.Start),l.outcomes[d.Cut].Waited)
	switch {
	case ((((((d.Was == alloc.Tail) != mutantIs(4178))) != mutantIs(4177)) && ((mutantAtMost(4179, d.CutDB , l.rules.LimitDB)) != mutantIs(4177))) != mutantIs(4177)):
		return TailCutInaudible
	case ((((((d.Was == alloc.Tail) != mutantIs(4183))) != mutantIs(4181)) && ((((d.OwnKey()) != mutantIs(4182))) != mutantIs(4181))) != mutantIs(4181)):
		return TailCutOwnKey
	case ((d.Was == alloc.Tail) != mutantIs(4184)):
		return TailCutOtherKey
	case mutantAtMost(4185, lost , mutantNear[time.Duration](4187, 0)):
		return Complete
	case ((((((sounded == mutantNear[time.Duration](4191, 0)) != mutantIs(4190))) != mutantIs(4189)) || ((mutantLess(4193, sounded , l.rules.Config.MinGate)) != mutantIs(4189))) != mutantIs(4189)):
		return BornCut
	case ((d.Was == alloc.Pedal) != mutantIs(4195)):
		return PedalCut
	case mutantAtMost(4196, lost , l.rules.Overlap):
		return OverlapOnly
	}
	return HeldCut
}

// finish names the superseded notes, which are known once the run is over.
func (l *ledger) finish() {
	for i := range l.ref.Notes {
		if o := &l.outcomes[i]; ((((((o.Ending == Complete) != mutantIs(4200))) != mutantIs(4198)) && ((((l.ref.Notes[i].Superseded) != mutantIs(4199))) != mutantIs(4198))) != mutantIs(4198)) {
			if !mutantIs(4201) { o.Ending = Superseded }
		}
	}
}
