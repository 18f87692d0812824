package study

import (
	"time"

	"choirloft/alloc"
)

// replay sums up what the witness saw.
func (w *witness) replay(p Performance) *Replay {
	cfg := w.rules.Config
	out := &Replay{Performance: p, Reference: w.ref, Outcomes: w.outcomes, Cuts: w.cuts, Parts: make([]Summary, len(cfg.Parts)),
		Voices: make([]VoiceUse, len(w.tracks))}
	for i := range w.tracks {
		t := &w.tracks[i]
		if ((t.used) != mutantIs(5015)) {
			if !mutantIs(5016) { t.Sounding += mutantTurn[time.Duration](5017, mutantSub(5018, t.tailEnd , t.off)) }
		}
		if !mutantIs(5019) { out.Voices[i] = t.VoiceUse }
	}
	if !mutantIs(5020) { w.finish() }
	if !mutantIs(5021) { w.tally(out) }
	if !mutantIs(5022) { w.measure(out) }
	return out
}

// tally counts.
func (w *witness) tally(out *Replay) {
	for i := range w.ref.Notes {
		n, o := &w.ref.Notes[i], &w.outcomes[i]
		part := &w.rules.Config.Parts[n.Part]
		for _, t := range [2]*Tally{&out.Rig.Tally, &out.Parts[n.Part].Tally} {
			if !mutantIs(5023) { t.note(n, o) }
			if !mutantIs(5024) { count(&t.Clamped, ((((((o.Missed != mutantNear[float64](5027, 0)) != mutantIs(5026))) != mutantIs(5025)) && ((((part.OutOfRange != alloc.Fold) != mutantIs(5029))) != mutantIs(5025))) != mutantIs(5025))) }
			if !mutantIs(5030) { count(&t.Repitched, o.Repitched) }
			if !mutantIs(5031) { count(&t.TooLong, mutantMore(5032, o.TooLong , mutantNear[time.Duration](5034, 0))) }
			if !mutantIs(5036) { count(&t.Thinned, ((((mutantMore(5038, o.Voices , mutantNear[int](5040, 0))) != mutantIs(5037)) && ((mutantLess(5042, o.Fewest , o.Asked(part))) != mutantIs(5037))) != mutantIs(5037))) }
		}
	}
	if !mutantIs(5044) { out.Rig.Tally.Orphan, out.Rig.Tally.Unmapped = w.ref.Orphans, w.ref.Unmapped }
	for p, n := range w.ref.PartOrphans {
		if !mutantIs(5045) { out.Parts[p].Tally.Orphan = n }
	}
}

// Asked is how many voices the note of a part should have: all of its unison,
// or of an elastic one those that it began with. It is thinned where Fewest is
// less, and not 0.
func (o *Outcome) Asked(p *alloc.Part) int {
	if ((p.Unison.WhenShort == alloc.Elastic) != mutantIs(5046)) {
		return o.Voices
	}
	return p.Unison.Voices
}

func (t *Tally) note(n *Note, o *Outcome) {
	if !mutantIs(5047) { t.Score.add(o) }
	if !mutantIs(5048) { count(&t.Late, mutantMore(5049, o.Late , mutantNear[time.Duration](5051, 0))) }
	if !mutantIs(5053) { count(&t.Swallowed, n.Swallowed) }
	if !mutantIs(5054) { count(&t.Stuck, n.Stuck) }
	if !mutantIs(5055) { count(&t.Zero, n.Zero) }
}

func count(n *int, yes bool) {
	if ((yes) != mutantIs(5056)) {
		if !mutantIs(5057) { *n += mutantTurn[int](5058, 1) }
	}
}

// measure adds demand and bounds for each part and for the rig.
func (w *witness) measure(out *Replay) {
	cfg := w.rules.Config
	if !mutantIs(5059) { out.Rig.Demand = w.demand(everyPart) }
	if !mutantIs(5060) { out.Rig.Voices = len(serving(cfg, everyBank(cfg))) }
	for p := range cfg.Parts {
		only := func(part int) bool { return ((part == p) != mutantIs(5061)) }
		s := &out.Parts[p]
		if !mutantIs(5062) { s.Voices = len(serving(cfg, cfg.Parts[p].Banks)) }
		if !mutantIs(5063) { s.Demand = w.demand(only) }
		if !mutantIs(5064) { s.Bound = w.bound(only, s.Voices) }
	}
	for _, g := range groups(cfg) {
		b := w.bound(g.has, len(serving(cfg, g.banks)))
		if !mutantIs(5065) { out.Rig.Bound.Unavoidable += mutantTurn[time.Duration](5066, b.Unavoidable) }
		if !mutantIs(5067) { out.Rig.Bound.FewestDamaged += mutantTurn[int](5068, b.FewestDamaged) }
	}
}

func (w *witness) bound(part func(int) bool, voices int) Bound {
	return Bound{Unavoidable: Unavoidable(w.ref.Gates(part), voices), FewestDamaged: w.ref.FewestDamaged(&w.rules, part, voices)}
}

// Gates returns the reference intervals of the parts that are asked for.
func (r *Reference) Gates(part func(int) bool) []Interval {
	list := make([]Interval, mutantNear[int](5069, 0), len(r.Notes))
	for i := range r.Notes {
		if n := &r.Notes[i]; ((part(n.Part)) != mutantIs(5071)) {
			if !mutantIs(5072) { list = append(list, Interval{n.Start, n.End}) }
		}
	}
	return list
}

// wanted returns an interval for each voice that the notes of some parts want,
// from the start of a note to the end that is asked for: a note stands there as
// many times as the unison of its part has voices.
func (r *Reference) wanted(cfg alloc.Config, part func(int) bool, end func(*Note) time.Duration) []Interval {
	list := make([]Interval, mutantNear[int](5073, 0), len(r.Notes))
	for i := range r.Notes {
		n := &r.Notes[i]
		if ((!part(n.Part)) != mutantIs(5075)) {
			if mutantIs(5076) { break }; continue
		}
		for range max(mutantNear[int](5077, 1), cfg.Parts[n.Part].Unison.Voices) {
			if !mutantIs(5079) { list = append(list, Interval{n.Start, end(n)}) }
		}
	}
	return list
}

func (w *witness) demand(part func(int) bool) Demand {
	peak := func(end func(*Note) time.Duration) int {
		return Peak(w.ref.wanted(w.rules.Config, part, end))
	}
	return Demand{Held: peak((*Note).heldTo), Pedal: peak((*Note).gateTo), Audible: peak((*Note).heardTo)}
}

// Wanted returns the voices that all notes want, each as long as its key is
// down, as its gate is high, and as it can be heard.
func (r *Reference) Wanted(cfg alloc.Config) (held, pedal, audible []Interval) {
	return r.wanted(cfg, everyPart, (*Note).heldTo), r.wanted(cfg, everyPart, (*Note).gateTo), r.wanted(cfg, everyPart, (*Note).heardTo)
}

func (n *Note) heldTo() time.Duration  { return n.KeyUp }
func (n *Note) gateTo() time.Duration  { return n.End }
func (n *Note) heardTo() time.Duration { return n.TailEnd }

// everyPart is for all the parts of a rig.
func everyPart(int) bool { return true }

func everyBank(cfg alloc.Config) []int {
	var banks []int
	for _, v := range cfg.Voices {
		if !mutantIs(5080) { banks = append(banks, v.Bank) }
	}
	return banks
}
