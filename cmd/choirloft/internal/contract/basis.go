package contract

import (
	"math"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/routing/plan"
	"choirloft/routing/reach"
)

// Givens are the values of a rig on which every answer about a song rests.
type Givens struct {
	// ReleaseS is the longest release in service, in seconds until a tail has
	// fallen by 60 dB.
	ReleaseS float64 `json:"release_s"`
	// ReleaseAssumed: nobody wrote a release for some voice in service.
	ReleaseAssumed bool `json:"release_assumed"`
	// RangeAssumed: some voice in service plays through an interface whose window
	// nobody wrote, or through none.
	RangeAssumed bool `json:"range_assumed"`
}

// PlayedBasis is what a replay rests on, and how far it moves what is lost.
type PlayedBasis struct {
	Givens
	StepPercent float64 `json:"step_percent"` // by which every release is longer and shorter
	Longer      Cost    `json:"longer"`
	Shorter     Cost    `json:"shorter"`
}

var stepPercent = math.Round(100 * study.ReleaseStep)

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
			list = append(list, WrongPitch{Part: p.Rules.Config.Parts[i].Name, Notes: n, Of: played.Parts[i].Tally.Notes, Range: *newRange(&ranges[i])})
		}
	}
	return list
}

// withoutJack names the voices in service whose pitch or gate has no jack. A rig
// without interfaces has no jacks to want.
func withoutJack(p *plan.Plan) []string {
	names := []string{}
	if len(p.Rig.Interfaces) == 0 {
		return names
	}
	missing := map[int]bool{}
	for _, l := range p.Map.Missing {
		if l.Voice >= 0 && (l.Input == "pitch" || l.Input == "gate") {
			missing[l.Voice] = true
		}
	}
	for i, v := range p.Rules.Config.Voices {
		if missing[i] && v.State.InService() {
			names = append(names, p.Rig.Voices[i].Name)
		}
	}
	return names
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

// givens are those of a plan.
func givens(p *plan.Plan) Givens {
	var g Givens
	for i, v := range p.Rules.Config.Voices {
		if !v.State.InService() {
			continue
		}
		g.ReleaseS = max(g.ReleaseS, seconds(v.Envelope.Release))
		g.ReleaseAssumed = g.ReleaseAssumed || !releaseGiven(p, &v)
		g.RangeAssumed = g.RangeAssumed || !rangeGiven(p, i)
	}
	return g
}

// releaseGiven tells whether somebody wrote the release of a voice, in the rig or
// for this run.
func releaseGiven(p *plan.Plan, v *alloc.Voice) bool {
	kind := &p.Rig.Kinds[p.Rig.Banks[v.Bank].Kind]
	_, given := p.Rig.Given("voices." + kind.Name + ".release")
	return given || v.Envelope.Release != kind.Envelope.Release
}

// rangeGiven tells whether somebody wrote the window that a voice plays in.
func rangeGiven(p *plan.Plan, voice int) bool {
	voices := p.Map.Voices
	if voice >= len(voices) || voices[voice].Interface < 0 {
		return false
	}
	_, given := p.Rig.Given("interfaces." + p.Rig.Interfaces[voices[voice].Interface].Name + ".window")
	return given
}

// playedBasis plays the song again with every release longer, and shorter.
func playedBasis(p *plan.Plan, song *midi.Song, played *study.Replay) PlayedBasis {
	again := study.NewRehearsal(p.Performance(song), played.Reference)
	with := func(factor float64) Cost {
		score, err := again.Score(p.Rules.Stretched(factor))
		if err != nil {
			panic("bug: a release that is longer or shorter: " + err.Error()) // the rest was just played
		}
		return cost(&score)
	}
	return PlayedBasis{Givens: givens(p), StepPercent: stepPercent, Longer: with(1 + study.ReleaseStep), Shorter: with(1 - study.ReleaseStep)}
}
