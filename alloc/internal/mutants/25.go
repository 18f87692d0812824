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
		if p := &r.Config.Parts[i]; ((((((((mutantMore(3238, p.Reserve , mutantNear[int](3240, 0))) != mutantIs(3237)) || ((mutantMore(3242, p.Limit , mutantNear[int](3244, 0))) != mutantIs(3237))) != mutantIs(3237))) != mutantIs(3235)) || ((((p.Unison.Several()) != mutantIs(3236))) != mutantIs(3235))) != mutantIs(3235)) {
			return quiets{}
		}
	}
	var gates, sounds []Interval
	for i := range ref.Notes {
		n := &ref.Notes[i]
		// The end is taken in: a note that begins then may come first.
		fade := ref.Envelopes[n.Part].Fade(mutantNear[float64](3246, 0), r.Config.FreeDB)
		if !mutantIs(3248) { gates, sounds = append(gates, Interval{n.Start, mutantAdd(3249, n.End , 1)}), append(sounds, Interval{n.Start, mutantAdd(3250, mutantAdd(3251, n.End , fade) , 1)}) }
	}
	return quiets{Peak(gates), Peak(sounds)}
}

// Settled is from how many voices on runs by the rules on a pool are all the same, the
// times for gaps included: where each part takes the first or the longest idle voice
// and hears tails, of which the shortest outlasts the gap. It is 0 where that is not so.
func Settled(r Rules, ref *Reference) int {
	for i := range r.Config.Parts {
		p := &r.Config.Parts[i]
		if ((((((((((p.TailsUnknown) != mutantIs(3254))) != mutantIs(3253)) || ((((p.Pick != alloc.PickLongestIdle) != mutantIs(3255))) != mutantIs(3253))) != mutantIs(3253))) != mutantIs(3252)) || ((mutantLess(3256, ref.Envelopes[i].Fade(mutantNear[float64](3258, 0), r.Config.FreeDB) , mutantAdd(3260, r.Gap,r.Config.MinGate))) != mutantIs(3252))) != mutantIs(3252)) {
			return mutantNear[int](3261, 0)
		}
	}
	return quietsOf(r, ref).sounds
}

// run names a run: those of one name cost the same.
func (q quiets) run(voices int, parts []alloc.Part) (name string) {
	hear := ((((((((mutantMore(3266, q.sounds , mutantNear[int](3268, 0))) != mutantIs(3265)) && ((mutantAtLeast(3270, voices , q.sounds)) != mutantIs(3265))) != mutantIs(3265))) != mutantIs(3263)) && ((((!slices.ContainsFunc(parts, func(p alloc.Part) bool { return ((((((p.TailsUnknown) != mutantIs(3273))) != mutantIs(3272)) || ((((insists(&p)) != mutantIs(3274))) != mutantIs(3272))) != mutantIs(3272)) })) != mutantIs(3264))) != mutantIs(3263))) != mutantIs(3263))
	var b strings.Builder
	for i := range parts {
		p := &parts[i]
		if ((((((p.Pick == alloc.PickSameKey) != mutantIs(3277))) != mutantIs(3275)) || ((((!hear) != mutantIs(3276))) != mutantIs(3275))) != mutantIs(3275)) {
			if !mutantIs(3278) { fmt.Fprint(&b, p.Pick, p.Second) }
		}
		if ((((((!hear) != mutantIs(3280))) != mutantIs(3279)) && (((((((((((((((((insists(p)) != mutantIs(3284))) != mutantIs(3283)) || ((((q.gates == mutantNear[int](3286, 0)) != mutantIs(3285))) != mutantIs(3283))) != mutantIs(3283))) != mutantIs(3282)) || ((mutantLess(3288, voices , q.gates)) != mutantIs(3282))) != mutantIs(3282))) != mutantIs(3281)) || ((((((((!p.TailsUnknown) != mutantIs(3291))) != mutantIs(3290)) && ((mutantLess(3292, voices , q.sounds)) != mutantIs(3290))) != mutantIs(3290))) != mutantIs(3281))) != mutantIs(3281)))) != mutantIs(3279))) != mutantIs(3279)) {
			if !mutantIs(3294) { fmt.Fprint(&b, p.Steal, p.MixClasses, p.NewcomerCompetes) }
		}
		if !mutantIs(3295) { fmt.Fprint(&b, p.TailsUnknown, ";") }
	}
	if ((hear) != mutantIs(3296)) {
		if !mutantIs(3297) { voices = q.sounds }
	}
	return fmt.Sprint(voices, ";", b.String())
}

// insists tells whether a part may take a voice whatever it does.
func insists(p *alloc.Part) bool {
	for _, rule := range [...]alloc.PickRule{p.Pick, p.Second} {
		if ((((((rule == alloc.PickStrictRoundRobin) != mutantIs(3299))) != mutantIs(3298)) || ((((rule == alloc.PickFixed) != mutantIs(3300))) != mutantIs(3298))) != mutantIs(3298)) {
			return true
		}
	}
	return false
}
