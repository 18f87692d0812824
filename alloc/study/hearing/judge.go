package hearing

import (
	"context"
	"slices"
	"time"

	"choirloft/alloc/crew"
)

// worthSharing is how many losses are worth another goroutine, which has to go through the
// song as well.
const worthSharing = 200

// mostGroups is how many groups of losses there are at most. It does not go by the processors: where a sum began
// shows in its last digits, and the same song has the same on any machine.
const mostGroups = 4

// judgeEach judges the losses by themselves: the second pass. What each comes to does not
// depend on the others but for what is played, so some goroutines may each judge a group of them.
func (l *listener) judgeEach(runs []run) {
	l.judgeIn(min(mostGroups, len(l.losses)/worthSharing), func(l *listener) *single { return l.newSingle(widen(runs)) })
}

// judgeIn does so in so many groups, or in one.
func (l *listener) judgeIn(groups int, by func(*listener) *single) {
	if groups <= 1 {
		l.judgeBy(by(l))
		return
	}
	l.divide(groups)
	_ = crew.Do(context.Background(), groups, func(context.Context) func(int) error { // no job fails
		return func(group int) error {
			of := l.twin()
			s := by(of)
			s.group = uint8(group)
			of.judgeBy(s)
			return nil
		}
	})
}

// divide makes groups of losses that follow each other, about as many in each.
func (l *listener) divide(groups int) {
	starts := make([]time.Duration, len(l.losses))
	for i := range l.losses {
		starts[i] = l.losses[i].from
	}
	slices.Sort(starts)
	for i := range l.losses {
		y := &l.losses[i]
		at, _ := slices.BinarySearch(starts, y.from)
		y.group = uint8(at * groups / len(starts))
	}
}

// twin is another listener to the same, to judge a group of its losses.
func (l *listener) twin() *listener {
	s := &stage{mix: newMix(l.mix.rates, 1)}
	return &listener{Asked: l.Asked, stage: s, lost: s.mix.lost[:1], each: true, pieces: slices.Clone(l.pieces), events: l.events,
		changes: l.changes, losses: l.losses, ended: l.ended}
}

// judgeBy judges the losses of a group.
func (l *listener) judgeBy(s *single) {
	l.single = s
	if len(l.changes) > 0 { // what sounds too long may hide from the whole what a loss is by itself
		s.near = []run{{from: 0, to: never}}
	}
	s.last = 0
	for i, e := range l.events {
		if loss := l.pieces[e.piece].loss; loss >= 0 && s.judges(l, loss) {
			s.last = i
		}
	}
	l.pass()
	for i := range l.losses {
		if s.judges(l, int32(i)) && l.losses[i].series != nil {
			s.finish(&l.losses[i])
		}
	}
	l.single = nil
}

// judges tells whether a loss is of the group.
func (s *single) judges(l *listener, loss int32) bool { return l.losses[loss].group == s.group }

// over tells whether all losses of the group are over.
func (s *single) over(l *listener) bool { return l.next > s.last && len(s.live) == 0 }
