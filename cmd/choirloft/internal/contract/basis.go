package contract

import (
	"math"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/routing/plan"
	"choirloft/routing/reach"
)

// PlayedBasis is what a replay rests on, and how far it moves what is lost.
type PlayedBasis struct {
	Values
	StepPercent float64 `json:"step_percent"` // by which every release is longer and shorter
	Longer      Cost    `json:"longer"`
	Shorter     Cost    `json:"shorter"`
}

// wrongPitch lists the parts with notes that sound at another pitch than they
// ask for, clamped to the range or folded into it, in the order of the rig.
func wrongPitch(p *plan.Plan, ranges []reach.Range, played *study.Replay) []WrongPitch {
	missed := make([]int, len(ranges))
	for i := range played.Outcomes {
		if o := &played.Outcomes[i]; o.Missed != 0 && o.Ending != study.Dropped {
			missed[played.Reference.Notes[i].Part]++
		}
	}
	list := []WrongPitch{}
	for i, n := range missed {
		if n > 0 {
			list = append(list, WrongPitch{Part: p.Rules.Config.Parts[i].Name, Notes: n, Of: played.Parts[i].Tally.Notes, Range: *newRange(p.Rig, &ranges[i])})
		}
	}
	return list
}

// monoChords lists the mono parts that play chords: of notes that begin together one stays.
func monoChords(p *plan.Plan, played *study.Replay) []MonoChords {
	away := make([]int, len(p.Rules.Config.Parts))
	for i := range played.Reference.Notes {
		n := &played.Reference.Notes[i]
		if p.Rules.Config.Parts[n.Part].Mode != alloc.Poly && n.Superseded && n.End-n.Start < p.Rules.Config.MinGate {
			away[n.Part]++
		}
	}
	list := []MonoChords{}
	for i, n := range away {
		if n > 0 {
			list = append(list, MonoChords{Part: p.Rules.Config.Parts[i].Name, Notes: n, Of: played.Parts[i].Tally.Notes})
		}
	}
	return list
}

// oldAfter is the time after which readings count as old beside newer ones of
// the same rig: a room is warmed or cooled within a season (assumed).
const oldAfter = 90 * 24 * time.Hour

// oldReadings names the voices in service that were measured so long before the
// newest readings of the rig, or without a date while others have one.
func oldReadings(p *plan.Plan) []string {
	names, dates, newest := []string{}, map[int]time.Time{}, time.Time{}
	for _, c := range p.Rig.Corrections {
		date, _ := time.Parse(time.DateOnly, c.Measured) // none is the zero time
		dates[c.Voice] = date
		if date.After(newest) {
			newest = date
		}
	}
	for i, v := range p.Rules.Config.Voices {
		if date, ok := dates[i]; ok && v.State.InService() && newest.Sub(date) > oldAfter {
			names = append(names, p.Rig.Voices[i].Name)
		}
	}
	return names
}

// spareKeys compares the range of voices with what their notes ask for.
func (v *Values) spareKeys(ranges []reach.Range) {
	for i := range ranges {
		r := &ranges[i]
		if r.Notes == 0 || !r.Window.Bounded {
			continue
		}
		low, high := r.WindowKeys()
		if spare := min(r.LowKey-low, high-r.HighKey); v.RangeSpareKeys == nil || spare < *v.RangeSpareKeys {
			v.RangeSpareKeys = &spare
		}
		v.RangeTooHigh, v.RangeTooLow = max(v.RangeTooHigh, low-r.LowKey), max(v.RangeTooLow, r.HighKey-high)
	}
}

// playedBasis plays what was played again with every release longer, and shorter.
func playedBasis(p *plan.Plan, played *study.Replay) PlayedBasis {
	again := study.NewRehearsal(played.Performance, played.Reference)
	with := func(factor float64) Cost {
		score, err := again.Score(p.Rules.Stretched(factor))
		if err != nil {
			panic("bug: a release that is longer or shorter: " + err.Error()) // the rest was just played
		}
		return cost(&score)
	}
	return PlayedBasis{Values: valuesOf(p), StepPercent: math.Round(100 * study.ReleaseStep), Longer: with(1 + study.ReleaseStep), Shorter: with(1 - study.ReleaseStep)}
}
