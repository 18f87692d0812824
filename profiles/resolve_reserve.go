package profiles

import (
	"slices"

	"choirloft/profiles/unit"
)

// seats finds out whether parts can have their reserves all at once.
//
// Every set of parts must find the sum of its reserves among the voices in
// service of all its banks. By P. Hall, "On representatives of subsets", J.
// London Math. Soc. 10 (1935), that holds for all sets exactly if each reserved
// voice can be given a voice of its own, so the parts are seated one by one,
// moving earlier ones to other banks where that makes room: augmenting paths,
// as in L. Ford and D. Fulkerson, "Maximal flow through a network", Canad. J.
// Math. 8 (1956). Where a path is wanting, the parts that the search got to are
// a set that does not fit.
type seats struct {
	left  []int   // voices not kept yet, by bank
	banks [][]int // of each part
	kept  []map[int]int
}

// add enters a part, with the banks that it may have voices of.
func (s *seats) add(banks []int) {
	s.banks = append(s.banks, banks)
	s.kept = append(s.kept, map[int]int{})
}

// seat keeps n voices for a part. Where there is no room it keeps none, and
// returns the parts that are one too many together, in order.
func (s *seats) seat(part, n int) []int {
	for n > 0 {
		path, reached := s.search(part)
		if path == nil {
			for bank, kept := range s.kept[part] {
				s.left[bank] += kept
			}
			s.kept[part] = map[int]int{}
			return reached
		}
		n -= s.move(path, n)
	}
	return nil
}

// hop is one step of a path: a part that takes a bank, from the part after it
// or, at the end, from what is left.
type hop struct{ part, bank int }

// search looks for the shortest way for a part to a bank with a voice left. It
// returns the way, last step first, or nil and the parts that it got to.
func (s *seats) search(part int) (path []hop, reached []int) {
	from := map[int]hop{} // how a part was got to; none for the first
	seen := map[int]bool{}
	queue := []int{part}
	for i := 0; i < len(queue); i++ {
		p := queue[i]
		for _, bank := range s.banks[p] {
			if seen[bank] {
				continue
			}
			seen[bank] = true
			if s.left[bank] > 0 {
				return s.back(hop{p, bank}, part, from), nil
			}
			for q := range s.kept {
				if _, ok := from[q]; ok || q == part || s.kept[q][bank] == 0 {
					continue
				}
				from[q] = hop{p, bank}
				queue = append(queue, q)
			}
		}
	}
	slices.Sort(queue)
	return nil, queue
}

func (s *seats) back(last hop, first int, from map[int]hop) []hop {
	path := []hop{last}
	for p := last.part; p != first; p = path[len(path)-1].part {
		path = append(path, from[p])
	}
	return path
}

// move sends as many voices as it can, up to n, along a path and returns how
// many.
func (s *seats) move(path []hop, n int) int {
	n = min(n, s.left[path[0].bank])
	for i, h := range path[1:] {
		n = min(n, s.kept[path[i].part][h.bank])
	}
	s.left[path[0].bank] -= n
	for i, h := range path {
		s.kept[h.part][h.bank] += n
		if i > 0 {
			s.kept[path[i-1].part][h.bank] -= n
		}
	}
	return n
}

// reserveFault says which parts keep more voices than their banks have.
func (x *resolver) reserveFault(part int, short, room []int) {
	var names []string
	var banks []int
	keep, have := 0, 0
	for _, p := range short {
		names = append(names, x.rig.Parts[p].Name)
		keep += x.rig.Parts[p].Reserve
		banks = append(banks, x.rig.Parts[p].Banks...)
	}
	slices.Sort(banks)
	banks = slices.Compact(banks)
	for _, b := range banks {
		have += room[b]
	}
	pos, at := x.place(x.draft.parts[part], "reserve")
	c := complain("reserve is %d, and %s %d in service", keep, x.bankList(banks), have).
		advise("lower it to %d at most, or give the part more banks", have)
	if len(short) > 1 {
		c = complain("with this reserve, parts %s keep %d voices together, and %s %d in service",
			unit.First(names, 12), keep, x.bankList(banks), have).
			advise("lower a reserve, or give one of them more banks")
	}
	x.faultAt(pos, at, c)
}

// checkZones complains of a lower and an upper zone that share channels. A
// zone has a manager channel beside its members, so both together have at most
// 14 members of the 16 channels.
func (x *resolver) checkZones() {
	const most = 14
	widest := map[Zone]int{} // the part with the most members, from 1
	for i, e := range x.draft.parts {
		p := &x.rig.Parts[i]
		if e.broken || p.Zone == NoZone {
			continue
		}
		other := widest[LowerZone+UpperZone-p.Zone] - 1
		if other >= 0 && p.Members+x.rig.Parts[other].Members > most {
			o := &x.rig.Parts[other]
			pos, at := x.place(e, "channel")
			x.faultAt(pos, at, complain("%s shares channels with the zone of part %s: %d and %d member channels, want %d at most together",
				p.Listens(), o.Name, p.Members, o.Members, most).advise("write mpe lower 7 and mpe upper 7"))
		}
		if w := widest[p.Zone] - 1; w < 0 || p.Members > x.rig.Parts[w].Members {
			widest[p.Zone] = i + 1
		}
	}
}
