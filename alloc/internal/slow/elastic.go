package slow

import (
	"slices"

	"choirloft/alloc"
)

// elasticNotes are the open notes of the part that have a voice, by age.
func (p *pool) elasticNotes(part int) []int {
	var notes []int
	for note, n := range p.gates {
		if n.Part == part && len(p.voicesOf(note)) > 0 {
			notes = append(notes, note)
		}
	}
	return notes
}

// shareOf is how many of v voices the note of that age gets, from 0, when k
// share them: floor(v/k), the first v mod k one more.
func shareOf(age, k, v int) int {
	if age < v%k {
		return v/k + 1
	}
	return v / k
}

// elastic lets the new note take its share of the voices: free ones, tails,
// and then from the notes above theirs, the oldest first, from its highest
// position. Where there are more notes than voices it steals one.
func (p *pool) elastic(note int, usable []int) []int {
	part := p.gates[note].Part
	notes := p.elasticNotes(part)
	k := len(notes) + 1
	got := p.upTo(shareOf(k-1, k, len(usable)), note, usable)
	for age, old := range notes {
		share := shareOf(age, k, len(usable))
		has := p.voicesOf(old)
		mine := keep(has, func(v int) bool { return slices.Contains(usable, v) })
		for len(mine) > 0 && len(got) < shareOf(k-1, k, len(usable)) && len(has) > share {
			got = append(got, mine[len(mine)-1])
			has, mine = has[:len(has)-1], mine[:len(mine)-1]
		}
	}
	if len(got) > 0 {
		return got
	}
	got = p.one(note, usable)
	if len(got) > 0 && p.voices[got[0]].sounds() {
		victim := p.voices[got[0]].note
		has := keep(p.voicesOf(victim), func(v int) bool { return slices.Contains(usable, v) })
		return has[len(has)-1:]
	}
	return got
}

// regrow gives the voices of a note that has ended to the oldest notes that
// are below their new share, the lowest voice first.
func (p *pool) regrow(ended int, voices []int) {
	part := p.gates[ended].Part
	u := p.cfg.Parts[part].Unison
	if u.Voices < 2 || u.WhenShort != alloc.Elastic || !u.Regrow {
		return
	}
	slices.Sort(voices)
	notes := p.elasticNotes(part)
	for _, v := range voices {
		for age, note := range notes {
			usable, _ := p.usable(note)
			if has := p.voicesOf(note); slices.Contains(usable, v) && len(has) < shareOf(age, len(notes), len(usable)) {
				c := p.find(note, v)
				state := p.voices[has[0]].state
				p.attack(note, v, p.unusedPosition(has))
				p.voices[v].state = state
				p.out = append(p.out, p.taking(alloc.Take, note, v, c, alloc.CauseNone))
				break
			}
		}
	}
}

func (p *pool) unusedPosition(voices []int) int {
	for position := 0; ; position++ {
		if !slices.ContainsFunc(voices, func(v int) bool { return p.voices[v].position == position }) {
			return position
		}
	}
}
