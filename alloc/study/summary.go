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
		if t.used {
			t.Sounding += t.tailEnd - t.off
		}
		out.Voices[i] = t.VoiceUse
	}
	w.finish()
	w.tally(out)
	w.measure(out)
	return out
}

// tally counts.
func (w *witness) tally(out *Replay) {
	for i := range w.ref.Notes {
		n, o := &w.ref.Notes[i], &w.outcomes[i]
		part := &w.rules.Config.Parts[n.Part]
		for _, t := range [2]*Tally{&out.Rig.Tally, &out.Parts[n.Part].Tally} {
			t.note(n, o)
			count(&t.Clamped, o.Missed != 0 && part.OutOfRange != alloc.Fold)
			count(&t.Repitched, o.Repitched)
			count(&t.TooLong, o.TooLong > 0)
			count(&t.Thinned, o.Voices > 0 && o.Fewest < o.Asked(part))
		}
	}
	out.Rig.Tally.Orphan, out.Rig.Tally.Unmapped = w.ref.Orphans, w.ref.Unmapped
	for p, n := range w.ref.PartOrphans {
		out.Parts[p].Tally.Orphan = n
	}
}

// Asked is how many voices the note of a part should have: all of its unison,
// or of an elastic one those that it began with. It is thinned where Fewest is
// less, and not 0.
func (o *Outcome) Asked(p *alloc.Part) int {
	if p.Unison.WhenShort == alloc.Elastic {
		return o.Voices
	}
	return p.Unison.Voices
}

func (t *Tally) note(n *Note, o *Outcome) {
	t.Score.add(o)
	count(&t.Late, o.Late > 0)
	count(&t.Swallowed, n.Swallowed)
	count(&t.Stuck, n.Stuck)
	count(&t.Zero, n.Zero)
}

func count(n *int, yes bool) {
	if yes {
		*n++
	}
}

// measure adds demand and bounds for each part and for the rig.
func (w *witness) measure(out *Replay) {
	cfg := w.rules.Config
	out.Rig.Demand = w.demand(everyPart)
	out.Rig.Voices = len(serving(cfg, everyBank(cfg)))
	for p := range cfg.Parts {
		only := func(part int) bool { return part == p }
		s := &out.Parts[p]
		s.Voices = len(serving(cfg, cfg.Parts[p].Banks))
		s.Demand = w.demand(only)
		s.Bound = w.bound(only, s.Voices)
	}
	for _, g := range groups(cfg) {
		b := w.bound(g.has, len(serving(cfg, g.banks)))
		out.Rig.Bound.Unavoidable += b.Unavoidable
		out.Rig.Bound.FewestDamaged += b.FewestDamaged
	}
}

func (w *witness) bound(part func(int) bool, voices int) Bound {
	return Bound{Unavoidable: Unavoidable(w.ref.Gates(part), voices), FewestDamaged: w.ref.FewestDamaged(&w.rules, part, voices)}
}

// Gates returns the reference intervals of the parts that are asked for.
func (r *Reference) Gates(part func(int) bool) []Interval {
	list := make([]Interval, 0, len(r.Notes))
	for i := range r.Notes {
		if n := &r.Notes[i]; part(n.Part) {
			list = append(list, Interval{n.Start, n.End})
		}
	}
	return list
}

// wanted returns an interval for each voice that the notes of some parts want,
// from the start of a note to the end that is asked for: a note stands there as
// many times as the unison of its part has voices.
func (r *Reference) wanted(cfg alloc.Config, part func(int) bool, end func(*Note) time.Duration) []Interval {
	list := make([]Interval, 0, len(r.Notes))
	for i := range r.Notes {
		n := &r.Notes[i]
		if !part(n.Part) {
			continue
		}
		for range max(1, cfg.Parts[n.Part].Unison.Voices) {
			list = append(list, Interval{n.Start, end(n)})
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

// WantedBy is [Reference.Wanted] of one part.
func (r *Reference) WantedBy(cfg alloc.Config, part int) (held, pedal, audible []Interval) {
	only := func(p int) bool { return p == part }
	return r.wanted(cfg, only, (*Note).heldTo), r.wanted(cfg, only, (*Note).gateTo), r.wanted(cfg, only, (*Note).heardTo)
}

func (n *Note) heldTo() time.Duration  { return n.KeyUp }
func (n *Note) gateTo() time.Duration  { return n.End }
func (n *Note) heardTo() time.Duration { return n.TailEnd }

// everyPart is for all the parts of a rig.
func everyPart(int) bool { return true }

func everyBank(cfg alloc.Config) []int {
	var banks []int
	for _, v := range cfg.Voices {
		banks = append(banks, v.Bank)
	}
	return banks
}
