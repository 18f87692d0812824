package hearing

import (
	"time"

	"choirloft/alloc/study"
)

// Changed is what became of each note of what is asked: as in the run, but for an edit that
// leaves a note out, which drops it, or ends it sooner, which cuts it short. The score of
// the run itself goes by the song as it was edited.
func (a *Asked) Changed(p Played) []study.Outcome {
	if p.otherwise == nil {
		return p.Outcomes
	}
	outcomes := make([]study.Outcome, len(a.notes))
	for i := range outcomes {
		n := &a.Reference.Notes[i]
		outcomes[i] = p.otherwise.notes[i].changed(p.Outcomes[i], n, p.Rules.Overlap)
	}
	return outcomes
}

// changed is what became of a note beside what is asked.
func (x *intended) changed(o study.Outcome, asked *study.Note, overlap time.Duration) study.Outcome {
	length := asked.End - asked.Start
	switch {
	case length <= 0:
		return study.Outcome{Ending: study.Superseded}
	case x.out:
		return study.Outcome{Ending: study.Dropped, Lost: length}
	}
	short := max(0, asked.End-x.low)
	if o.Lost += short; short > 0 && (!o.Ending.Damaged() || o.Ending == study.OverlapOnly) {
		if o.Ending = study.HeldCut; o.Lost <= overlap {
			o.Ending = study.OverlapOnly
		}
	}
	return o
}
