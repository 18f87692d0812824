package setups

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"choirloft/profiles"
	"choirloft/routing"
)

// Option is a way of wiring the sequencer of a change, and what it would cost.
type Option struct {
	Way
	Written bool // it is how the rig has it
	Change  *Change
	// Multiples and Ors are how many of each the two set-ups need.
	Multiples, Ors int
	Rests          int // jacks that have to be held in either
	// Bend is the furthest that a load takes a pitch of the sequencer, in cents
	// per octave, or in cents with hertz per volt.
	Bend float64
}

// Ways tries the ways of wiring the sequencers of a change, and returns them by
// moves, the fewest first, then by what they need. There are none between
// set-ups from interfaces.
func Ways(m *routing.Map, from, to int) (all []Option) {
	sets := []*profiles.SetUp{&m.Rig.SetUps[from], &m.Rig.SetUps[to]}
	for _, pitches := range []profiles.PitchWay{profiles.PitchGroup, profiles.PitchMultiples} {
		if pitches == profiles.PitchGroup && !hasGroup(m.Rig, sets) {
			continue
		}
		for _, gates := range []profiles.GateWay{profiles.GateMultiples, profiles.GateOr} {
			if sets[0].Sequenced || sets[1].Sequenced {
				all = append(all, try(m, from, to, pitches, gates))
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Option) int {
		return cmp.Or(cmp.Compare(a.Change.Moves(), b.Change.Moves()), cmp.Compare(a.Multiples+a.Ors, b.Multiples+b.Ors),
			cmp.Compare(math.Abs(a.Bend), math.Abs(b.Bend)))
	})
	return all
}

// hasGroup tells whether a bank that the set-ups play has a common pitch jack.
func hasGroup(rig *profiles.Rig, sets []*profiles.SetUp) bool {
	for _, s := range sets {
		for _, part := range s.Parts {
			for _, bank := range part.Banks {
				if rig.Kinds[rig.Banks[bank].Kind].GroupPitch != profiles.GroupNone {
					return true
				}
			}
		}
	}
	return false
}

func try(m *routing.Map, from, to int, pitches profiles.PitchWay, gates profiles.GateWay) Option {
	ored := make([]bool, len(m.Rig.Banks))
	o := Option{Written: true}
	var patches []*Patch
	for _, at := range []int{from, to} {
		markOred(ored, &m.Rig.SetUps[at], gates)
	}
	for _, at := range []int{from, to} {
		s := &m.Rig.SetUps[at]
		way := WayOf(s)
		way.Pitches, way.Gates = pitches, gates
		p := newPatch(m, at, way, ored)
		patches = append(patches, p)
		if s.Sequenced {
			written := WayOf(s)
			if !hasGroup(m.Rig, []*profiles.SetUp{s}) {
				written.Pitches = pitches // either way comes to multiples
			}
			o.Way, o.Written = way, o.Written && way == written
		}
		o.Rests += len(p.Rests)
		o.bend(p)
	}
	o.Change = Between(patches[0], patches[1])
	o.Multiples = Multiples(patches...)
	for _, yes := range ored {
		if yes {
			o.Ors++
		}
	}
	return o
}

// bend looks for the furthest that a pitch of the sequencer is taken.
func (o *Option) bend(p *Patch) {
	for i := range p.nets {
		n := &p.nets[i]
		sequenced := n.Interface >= len(p.base.Rig.Interfaces)
		pitch := slices.ContainsFunc(n.Inputs(), func(in routing.Input) bool { return in.Input == "pitch" })
		if b := p.Map.Bend(n); sequenced && pitch && math.Abs(b) > math.Abs(o.Bend) {
			o.Bend = b
		}
	}
}

// Ors are the banks whose gates go through a gate-OR in set-ups of a rig, wired as it
// says.
func Ors(rig *profiles.Rig, setUps ...int) (banks []int) {
	all := make([]bool, len(rig.Banks))
	for _, at := range setUps {
		markOred(all, &rig.SetUps[at], rig.SetUps[at].Gates)
	}
	for bank, yes := range all {
		if yes {
			banks = append(banks, bank)
		}
	}
	return banks
}

// Outs are how many outs each of the [Multiples] of patches has to have, the largest
// first: what the rig says, or else what they feed.
func Outs(patches ...*Patch) (outs []int) {
	passive, counted := []int{}, map[int]int{}
	for _, p := range patches {
		var own []int
		linked := map[int]int{}
		for _, m := range p.multiples {
			if m.outs > 0 {
				linked[m.outs] += m.units
				continue
			}
			own = append(own, len(m.inputs))
		}
		slices.SortFunc(own, func(a, b int) int { return b - a })
		for i, n := range own {
			if i == len(passive) {
				passive = append(passive, 0)
			}
			passive[i] = max(passive[i], n)
		}
		for of, units := range linked {
			counted[of] = max(counted[of], units)
		}
	}
	for of, units := range counted {
		passive = append(passive, slices.Repeat([]int{of}, units)...)
	}
	slices.SortFunc(passive, func(a, b int) int { return b - a })
	return passive
}

// Multiples is how many multiples patches need that are not plugged at once,
// linked ones counted singly: of each kind as many as the one needs that needs
// most.
func Multiples(patches ...*Patch) (most int) {
	type kind struct {
		through profiles.Through
		outs    int
	}
	need := map[kind]int{}
	for _, p := range patches {
		own := map[kind]int{}
		for _, m := range p.multiples {
			own[kind{m.through, m.outs}] += m.units
		}
		for k, n := range own {
			need[k] = max(need[k], n)
		}
	}
	for _, n := range need {
		most += n
	}
	return most
}

func wirePath(i int) string { return "wiring[" + itoa(i) + "]" }

func itoa(n int) string { return strconv.Itoa(n) }
