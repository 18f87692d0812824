package advise

import (
	"cmp"
	"context"
	"slices"
)

// portion is how many are played before the best of them is looked at: a number that
// depends on no machine.
const portion = 8

// What a change has to gain: a share of what is left, and no less than can be told.
const (
	leastShare = 0.005
	leastGain  = 0.01 // dB·s
)

func (f *finder) least(at *tried) float64 { return max(leastGain, leastShare*f.toll(at)) }

// climb goes from a state to a better one, change by change, with no more effort than is
// allowed.
func (f *finder) climb(ctx context.Context, from *tried, most Effort) (*tried, error) {
	at := from
	for {
		gains, best, err := f.sweep(ctx, at, most)
		if err != nil || best == nil {
			return at, err
		}
		if f.gain(at, best) < f.least(at) {
			if !f.short {
				gain := f.gain(at, best) / max(1e-9, f.toll(at))
				f.further = &gain
			}
			return at, nil
		}
		if at, err = f.lazily(ctx, best, gains, most); err != nil {
			return at, err
		}
		if f.short {
			return at, nil
		}
	}
}

func (f *finder) toll(t *tried) float64 { return t.Figures.toll(&f.now.Figures) }

func (f *finder) gain(from, to *tried) float64 { return f.toll(from) - f.toll(to) }

// stale is a move with what it gained when it was played last.
type stale struct {
	move int
	gain float64
}

// byGain orders by what was gained, then as moves are.
func byGain(a, b stale) int { return cmp.Or(cmp.Compare(b.gain, a.gain), cmp.Compare(a.move, b.move)) }

// sweep plays every change of a state, and returns what each gains and the best.
func (f *finder) sweep(ctx context.Context, at *tried, most Effort) (gains []stale, best *tried, err error) {
	all := make([]int, len(f.moves))
	for i := range all {
		all[i] = i
	}
	return f.compare(ctx, at, all, most)
}

// compare plays some changes of a state.
func (f *finder) compare(ctx context.Context, at *tried, moves []int, most Effort) (gains []stale, best *tried, err error) {
	var states []state
	var of []int
	for _, m := range moves {
		s, ok := f.moves[m](at.state)
		if !ok || slices.Equal(s, at.state) || f.effort(s) > most {
			continue
		}
		states, of = append(states, s), append(of, m)
	}
	for len(states) > 0 && err == nil {
		n := min(len(states), 8*portion)
		var list []*tried
		if list, err = f.play(ctx, states[:n]); err != nil {
			return nil, nil, err
		}
		for i, t := range list {
			if t == nil || !t.ok {
				continue
			}
			gains = append(gains, stale{of[i], f.gain(at, t)})
			if best == nil || f.better(t, best) {
				best = t
			}
		}
		states, of = states[n:], of[n:]
	}
	return gains, best, nil
}

// better tells which of two comes first: by what the search makes small, then by effort
// and lines.
func (f *finder) better(a, b *tried) bool {
	return cmp.Or(cmp.Compare(f.toll(a), f.toll(b)), cmp.Compare(a.effort, b.effort), cmp.Compare(a.lines, b.lines)) < 0
}

// lazily goes on from a state by changes that gained something when they were played
// last, the best of these first, until none of them gains enough.
func (f *finder) lazily(ctx context.Context, at *tried, gains []stale, most Effort) (*tried, error) {
	slices.SortFunc(gains, byGain)
	for {
		enough := f.least(at)
		var best *tried
		next := 0 // of gains: all before were played from this state
		for next < len(gains) && gains[next].gain >= enough && (best == nil || f.gain(at, best) < gains[next].gain) {
			n := min(portion, len(gains)-next)
			var moves []int
			for _, g := range gains[next : next+n] {
				moves = append(moves, g.move)
			}
			now, b, err := f.compare(ctx, at, moves, most)
			if err != nil {
				return at, err
			}
			for i := next; i < next+n; i++ {
				j := slices.IndexFunc(now, func(g stale) bool { return g.move == gains[i].move })
				if gains[i].gain = 0; j >= 0 {
					gains[i].gain = now[j].gain
				}
			}
			if b != nil && (best == nil || f.better(b, best)) {
				best = b
			}
			next += n
		}
		if best == nil || f.gain(at, best) < enough || f.short {
			return at, nil
		}
		at = best
		slices.SortFunc(gains, byGain)
	}
}
