package plan

import (
	"maps"
	"slices"

	"choirloft/alloc"
	"choirloft/routing"
)

// join makes one voice of those that have one pitch: the first stands for all, and each
// part counts them as one. A destination plays the keys that all of its voices track.
func join(m *routing.Map, cfg *alloc.Config) {
	leader := map[int]int{} // by voice, also of itself
	for _, d := range m.Destinations() {
		first := &cfg.Voices[d.Voices[0]]
		first.InTurn = d.InTurn
		for _, i := range d.Voices {
			leader[i] = d.Voices[0]
			if v := &cfg.Voices[i]; v.State == alloc.Limited {
				if first.State != alloc.Limited {
					first.State, first.Keys = alloc.Limited, v.Keys
				}
				first.Keys = alloc.KeyRange{Low: max(first.Keys.Low, v.Keys.Low), High: min(first.Keys.High, v.Keys.High)}
			}
		}
		for _, i := range d.Voices[1:] {
			cfg.Voices[i].State, cfg.Voices[i].With = alloc.Joined, d.Voices[0]
		}
	}
	for i := range m.Nets {
		for _, voice := range m.OneGate(&m.Nets[i]) {
			cfg.Voices[voice].Gate = i + 1
		}
	}
	if len(leader) == 0 {
		return
	}
	for i := range cfg.Parts {
		joinPart(&cfg.Parts[i], cfg.Voices, leader)
	}
}

// joinPart lets a part name the first of voices that are one, and count them once.
func joinPart(p *alloc.Part, voices []alloc.Voice, leader map[int]int) {
	p.Fixed = maps.Clone(p.Fixed)
	for key, i := range p.Fixed {
		p.Fixed[key] = ledBy(leader, i)
	}
	u, served := &p.Unison, 0
	for _, v := range voices {
		if v.State != alloc.Joined && v.State != alloc.Spare && slices.Contains(p.Banks, v.Bank) {
			served++
		}
	}
	if u.Voices = min(u.Voices, max(1, served)); u.Blocks == nil {
		return
	}
	taken, most, blocks := map[int]bool{}, 1, [][]int(nil)
	for _, block := range u.Blocks {
		own := joinBlock(block, voices, leader, taken)
		if len(own) > 0 {
			blocks, most = append(blocks, own), max(most, len(own))
		}
	}
	u.Blocks, u.Voices = blocks, most
}

// joinBlock leaves of a block the voices that stand for all, but for what other blocks have
// taken. Beside such a voice those that are out are left out.
func joinBlock(block []int, voices []alloc.Voice, leader map[int]int, taken map[int]bool) (own []int) {
	joined := slices.ContainsFunc(block, func(i int) bool { _, ok := leader[i]; return ok })
	for _, i := range block {
		if first := ledBy(leader, i); !taken[first] && !(joined && voices[i].State == alloc.Out) {
			taken[first] = true
			own = append(own, first)
		}
	}
	return own
}

// ledBy is the voice that stands for another, or that itself.
func ledBy(leader map[int]int, voice int) int {
	if first, ok := leader[voice]; ok {
		return first
	}
	return voice
}

// LeaderOf is the voice that another plays along with, since they have one pitch: itself, if it
// plays by itself. It is false for a voice that plays nothing.
func (p *Plan) LeaderOf(voice int) (leader int, plays bool) {
	voices := p.Rules.Config.Voices
	if voices[voice].State == alloc.Joined {
		voice = voices[voice].With
	}
	return voice, voices[voice].State.InService()
}
