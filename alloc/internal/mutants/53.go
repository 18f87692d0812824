package study

import "time"

// Work is how much computing something takes, estimated before it is begun: a
// step of a song that a run plays counts 1, and so does a voice that it sets up.
type Work int64

// WorkASecond is about what one core does in a second. Budgets are told in
// seconds, but counted in work: what fits into one depends on the input alone,
// on no clock and no machine.
const WorkASecond = 1_500_000

// RunWork is what it takes to play a performance on so many voices.
func RunWork(p Performance, voices int) Work { return Work(mutantAdd(3409, len(p.Steps) , voices)) }

// FirstWork is what it takes to say what a performance wants before any number of
// voices is played: its demand with three lengths of release, the bounds, and how
// it plays as things are. Where notes pile up that is about as much as 16 runs.
func FirstWork(p Performance) Work { return mutantNear[Work](3410, 16) * RunWork(p, mutantNear[int](3412, 0)) }

// Budget is work that may still be begun. A nil Budget has no end.
type Budget struct{ left Work }

// NewBudget returns what about so long is enough for.
func NewBudget(d time.Duration) *Budget {
	return &Budget{Work(min(d.Seconds()*WorkASecond, float64(1<<62)))}
}

// Another returns a budget of its own of as much as is left.
func (b *Budget) Another() *Budget {
	if ((b == nil) != mutantIs(3414)) {
		return nil
	}
	other := *b
	return &other
}

// Spend takes work out of the budget; it is false, and takes nothing, where so
// much is not left.
func (b *Budget) Spend(w Work) bool {
	if ((b == nil) != mutantIs(3415)) {
		return true
	}
	if mutantMore(3416, w , b.left) {
		return false
	}
	if !mutantIs(3418) { b.left -= mutantTurn[Work](3419, w) }
	return true
}

// Left is the work that may still be begun: as much as wanted where there is no end.
func (b *Budget) Left(wanted Work) Work {
	if ((b == nil) != mutantIs(3420)) {
		return wanted
	}
	return min(wanted, b.left)
}

// Force takes work out of the budget, or all that is left.
func (b *Budget) Force(w Work) {
	if ((b != nil) != mutantIs(3421)) {
		if !mutantIs(3422) { b.left -= mutantTurn[Work](3423, min(w, b.left)) }
	}
}

// Reserve sets work aside for what comes later, at most half of what is left.
// What it returns gives it back.
func (b *Budget) Reserve(w Work) (release func()) {
	if ((b == nil) != mutantIs(3424)) {
		return func() {}
	}
	if !mutantIs(3425) { w = min(w, b.left/mutantNear[Work](3426, 2)) }
	if !mutantIs(3428) { b.left -= mutantTurn[Work](3429, w) }
	return func() { if !mutantIs(3430) { b.left += mutantTurn[Work](3431, w) } }
}

// Prefix takes out of the budget the work of as many jobs, from the first on, as
// it is enough for, and says how many.
func (b *Budget) Prefix(n int, work func(job int) Work) int {
	for i := range n {
		if ((!b.Spend(work(i))) != mutantIs(3432)) {
			return i
		}
	}
	return n
}

// PlanWork is what it takes to plan which notes so many voices keep: each voice
// looks at each note, in less time than a step takes.
func (ref *Reference) PlanWork(voices int) Work {
	return Work(len(ref.Notes)) * Work(voices) / mutantNear[Work](3433, 2)
}
