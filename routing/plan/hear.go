package plan

import (
	"slices"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/levels"
	"choirloft/routing/reach"
)

// Hearing is what a song adds to what there is to say about a plan.
type Hearing struct {
	Replay     *study.Replay
	Parts      []reach.Range // by part
	Interfaces []reach.Range // by interface
	Levels     *levels.Ladder
	Findings   []routing.Finding // that rest on the song, sorted
}

// Hear plays a song and says what depends on its notes.
func (p *Plan) Hear(song *midi.Song) (*Hearing, error) {
	played, spans, err := p.Lanes(song)
	if err != nil {
		return nil, err
	}
	h := &Hearing{Replay: played, Levels: p.ladder(p.counts(spans))}
	var on [][]int
	h.Parts, h.Interfaces, on = p.mended(song, played)
	h.Findings = reach.Finder{Rig: p.Rig, Cfg: &p.Rules.Config}.Find(h.Parts, h.Interfaces, on)
	h.Findings = append(h.Findings, h.Levels.Find(p.Rig)...)
	p.place(h.Findings)
	routing.Sort(h.Findings)
	return h, nil
}

// Reach returns for each part what a song that was played asked of its window.
func (p *Plan) Reach(song *midi.Song, played *study.Replay) []reach.Range {
	return reach.Parts(&p.Rules.Config, played, &song.Meter)
}

// Mended is [Plan.Reach] with the key at 0 V that would mend what a part misses.
func (p *Plan) Mended(song *midi.Song, played *study.Replay) []reach.Range {
	parts, _, _ := p.mended(song, played)
	return parts
}

// mended also returns the ranges of interfaces, and the parts on each. Each key at 0 V was
// tried: with it no part on the interface misses a pitch.
func (p *Plan) mended(song *midi.Song, played *study.Replay) (parts, interfaces []reach.Range, on [][]int) {
	parts = p.Reach(song, played)
	interfaces, on = reach.Interfaces(p.Map, &p.Rules.Config, played, &song.Meter)
	boxes := make([]int, len(parts)) // on how many interfaces each part plays
	for at := range on {
		for _, part := range on[at] {
			boxes[part]++
		}
	}
	for at := range interfaces {
		r := &interfaces[at]
		if r.ZeroKey != nil && !p.fitsWith(r.ZeroKey, played, on[at]) {
			r.ZeroKey = nil
		}
		for _, part := range on[at] {
			if parts[part].Missed > 0 && boxes[part] == 1 {
				parts[part].ZeroKey = r.ZeroKey
			}
		}
	}
	return parts, interfaces, on
}

// fitsWith plays a song again with another key at 0 V, and tells whether some parts then miss
// no pitch.
func (p *Plan) fitsWith(to *reach.Rekey, played *study.Replay, parts []int) bool {
	rules := p.Rules
	rules.Config.Voices = slices.Clone(rules.Config.Voices)
	by := float64(to.Key - p.Rig.Interfaces[to.Interface].ZeroKey)
	for i := range rules.Config.Voices {
		if w := &rules.Config.Voices[i].Window; p.Map.Voices[i].Interface == to.Interface {
			w.Low, w.High = w.Low+by, w.High+by
		}
	}
	again, err := study.Play(rules, played.Performance)
	return err == nil && !slices.ContainsFunc(parts, func(part int) bool { return again.Parts[part].Tally.Missed > 0 })
}

// place looks up where the rig says what findings are about.
func (p *Plan) place(found []routing.Finding) {
	for i := range found {
		if found[i].Pos.IsZero() {
			found[i].Pos, _ = p.Rig.Given(found[i].Where)
		}
	}
}

// counts is how many voices sound at once in a song, in each bank and in all:
// tails as long as they are audible.
func (p *Plan) counts(spans []study.Span) levels.Counts {
	c := levels.Counts{Banks: make([]int, len(p.Rig.Banks)), Counted: true}
	byBank := make([][]study.Interval, len(p.Rig.Banks))
	var all []study.Interval
	for _, s := range spans {
		i := study.Interval{Start: s.Start, End: s.End}
		for voice, v := range p.Rules.Config.Voices { // those that play along too
			if leader, plays := p.LeaderOf(voice); plays && leader == s.Voice {
				byBank[v.Bank], all = append(byBank[v.Bank], i), append(all, i)
			}
		}
	}
	for bank, intervals := range byBank {
		c.Banks[bank] = study.Peak(intervals)
	}
	c.All = study.Peak(all)
	return c
}

// inService is how many voices could sound at once.
func (p *Plan) inService() levels.Counts {
	c := levels.Counts{Banks: make([]int, len(p.Rig.Banks))}
	for i, v := range p.Rules.Config.Voices {
		if _, plays := p.LeaderOf(i); plays {
			c.Banks[v.Bank]++
			c.All++
		}
	}
	return c
}

// ladder is that of the rig with so many voices. The voices of a bank are in
// step where a part plays a unison without detune on it.
func (p *Plan) ladder(c levels.Counts) *levels.Ladder {
	together := make([]bool, len(p.Rig.Banks))
	for _, part := range p.Rig.Parts {
		for _, bank := range part.Banks {
			together[bank] = together[bank] || inStep(&part)
		}
	}
	return levels.New(p.Rig, c, together)
}

// inStep tells whether the voices of a note have one pitch.
func inStep(part *profiles.Part) bool {
	return part.Unison.Voices > 1 && part.Unison.Spread == 0
}
