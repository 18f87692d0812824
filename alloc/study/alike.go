package study

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/alloc"
)

// quiets tells which runs of a sizing cost the same, so that one of them is played.
//
// From as many voices on as gates are ever high at once there is always one whose gate
// is low. A part that is deaf to tails then takes nothing from a gate, whatever its
// stealing rule. From as many on as sound at once, tails in full length included,
// there is always a silent one: a part that hears tails then cuts none but, by same-key,
// its own, on any further number of voices. Neither holds for rules that name a voice
// whatever it does, nor where parts have reserves, limits or unisons.
type quiets struct {
	gates, sounds int // numbers of voices from which on that is so; 0 where it never is, or nothing sounds
}

// quietsOf looks at a song that is played by the rules on identical voices.
func quietsOf(r Rules, ref *Reference) quiets {
	for i := range r.Config.Parts {
		if p := &r.Config.Parts[i]; p.Reserve > 0 || p.Limit > 0 || p.Unison.Several() {
			return quiets{}
		}
	}
	var gates, sounds []Interval
	for i := range ref.Notes {
		n := &ref.Notes[i]
		// The end is taken in: a note that begins then may come first.
		fade := ref.Envelopes[n.Part].Fade(0, r.Config.FreeDB)
		gates, sounds = append(gates, Interval{n.Start, n.End + 1}), append(sounds, Interval{n.Start, n.End + fade + 1})
	}
	return quiets{Peak(gates), Peak(sounds)}
}

// Settled is from how many voices on runs by the rules on a pool are all the same, the
// times for gaps included: where each part takes the first or the longest idle voice
// and hears tails, of which the shortest outlasts the gap. It is 0 where that is not so.
func Settled(r Rules, ref *Reference) int {
	for i := range r.Config.Parts {
		p := &r.Config.Parts[i]
		if p.TailsUnknown || p.Pick != alloc.PickLongestIdle || ref.Envelopes[i].Fade(0, r.Config.FreeDB) < r.Gap+r.Config.MinGate {
			return 0
		}
	}
	return quietsOf(r, ref).sounds
}

// run names a run: those of one name cost the same.
func (q quiets) run(voices int, parts []alloc.Part) (name string) {
	hear := q.sounds > 0 && voices >= q.sounds && !slices.ContainsFunc(parts, func(p alloc.Part) bool { return p.TailsUnknown || insists(&p) })
	var b strings.Builder
	for i := range parts {
		p := &parts[i]
		if p.Pick == alloc.PickSameKey || !hear {
			fmt.Fprint(&b, p.Pick, p.Second)
		}
		if !hear && (insists(p) || q.gates == 0 || voices < q.gates || !p.TailsUnknown && voices < q.sounds) {
			fmt.Fprint(&b, p.Steal, p.MixClasses, p.NewcomerCompetes)
		}
		fmt.Fprint(&b, p.TailsUnknown, ";")
	}
	if hear {
		voices = q.sounds
	}
	return fmt.Sprint(voices, ";", b.String())
}

// insists tells whether a part may take a voice whatever it does.
func insists(p *alloc.Part) bool {
	for _, rule := range [...]alloc.PickRule{p.Pick, p.Second} {
		if rule == alloc.PickStrictRoundRobin || rule == alloc.PickFixed {
			return true
		}
	}
	return false
}
