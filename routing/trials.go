package routing

import (
	"slices"

	"choirloft/profiles"
)

// Fixes that findings offer are tried before they are printed: what would be refused as
// a rig, or by whoever plays it, is not offered.

// triedParts is the map with other parts, of which only unisons are worked out; ok is
// false where a file would not say so, or a unison cannot play.
func (m *Map) triedParts(change func(*profiles.Rig)) (tried *Map, ok bool) {
	rig := *m.Rig
	rig.Parts, rig.Banks = slices.Clone(rig.Parts), slices.Clone(rig.Banks)
	change(&rig)
	tried = &Map{Rig: &rig, Voices: m.Voices, Nets: m.Nets, netAt: m.netAt}
	for part := range rig.Parts {
		p := &rig.Parts[part]
		if p.Unison.Voices < 2 {
			continue
		}
		players := len(tried.Players(part))
		if p.Unison.Voices > players || p.Limit > 0 && p.Limit < p.Unison.Voices {
			return nil, false
		}
		u, err := tried.unison(part)
		if err != nil {
			return nil, false
		}
		tried.Unisons = append(tried.Unisons, u)
	}
	return tried, true
}

// wouldPlay tells whether a change of parts can be played: no voices that have a jack in
// common would then play apart, and none hang on the jack of one that is out, but for those
// that do so now.
func (m *Map) wouldPlay(change func(*profiles.Rig)) bool {
	tried, ok := m.triedParts(change)
	if !ok || len(tried.deaf()) > len(m.deaf()) {
		return false
	}
	for i := range m.Nets {
		for _, input := range []string{pitchInput, gateInput} {
			voices := tried.serving(&m.Nets[i], input)
			if len(voices) < 2 {
				continue
			}
			for part := range m.Rig.Parts {
				if tried.atOdds(part, voices, input) != nil && m.atOdds(part, voices, input) == nil {
					return false
				}
			}
		}
	}
	return true
}

// divisor is the number of voices a note, next to that of a part, that leaves none idle and
// can be played; 0 where there is none from 2 on.
func (m *Map) divisor(part, voices int) (best int) {
	now := m.Rig.Parts[part].Unison.Voices
	for n := 2; n <= min(voices, mostStack); n++ {
		away := func(n int) int { return max(n-now, now-n) }
		if voices%n == 0 && (best == 0 || away(n) < away(best)) && m.wouldPlay(func(r *profiles.Rig) { r.Parts[part].Unison.Voices = n }) {
			best = n
		}
	}
	return best
}

// mostStack is the most voices on a note that a rig may say.
const mostStack = 64

// mostPins is how many pins without a lane are tried.
const mostPins = 8

// tryPins says of pins that nothing drives what would drive them, where all still has its
// jack and its message then.
func (m *Map) tryPins() {
	was, tried := Short{-1, -1}, 0
	for i := range m.Findings {
		f := &m.Findings[i]
		at := slices.IndexFunc(m.Rig.Pins, func(p profiles.Pin) bool { return p.Macro < 0 && pinPath(targetName(m.Rig, p.To)) == f.Where })
		if f.Code != PinWithoutLane || at < 0 || tried == mostPins {
			continue
		}
		if tried++; was.Jacks < 0 {
			was = Lacks(m.Rig)
		}
		fits := func(change func(*profiles.Rig)) bool {
			rig := *m.Rig
			rig.Kinds, rig.Banks = slices.Clone(rig.Kinds), slices.Clone(rig.Banks)
			change(&rig)
			then := Lacks(&rig)
			return then.Jacks <= was.Jacks && then.Messages <= was.Messages
		}
		to, facts := m.Rig.Pins[at].To, []Fact(nil)
		switch {
		case to.Voice >= 0 && fits(func(r *profiles.Rig) {
			k := &r.Kinds[r.Banks[to.Bank].Kind]
			k.Inputs = append(slices.Clip(k.Inputs), to.Input)
		}):
			facts = append(facts, Named("own", to.Input))
		case to.Voice < 0 && to.Input != pitchInput && to.Input != gateInput && fits(func(r *profiles.Rig) { b := &r.Banks[to.Bank]; b.Lanes = append(slices.Clip(b.Lanes), to.Input) }):
			facts = append(facts, Named("common_lane", to.Input))
		}
		m.Findings[i] = f.With(facts...)
	}
}
