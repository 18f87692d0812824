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
func RunWork(p Performance, voices int) Work { return Work(len(p.Steps) + voices) }

// FirstWork is what it takes to say what a performance wants before any number of
// voices is played: its demand with three lengths of release, the bounds, and how
// it plays as things are. Where notes pile up that is about as much as 16 runs.
func FirstWork(p Performance) Work { return 16 * RunWork(p, 0) }

// Budget is work that may still be begun. A nil Budget has no end.
type Budget struct{ left Work }

// NewBudget returns what about so long is enough for.
func NewBudget(d time.Duration) *Budget {
	return &Budget{Work(min(d.Seconds()*WorkASecond, float64(1<<62)))}
}

// Another returns a budget of its own of as much as is left.
func (b *Budget) Another() *Budget {
	if b == nil {
		return nil
	}
	other := *b
	return &other
}

// Spend takes work out of the budget; it is false, and takes nothing, where so
// much is not left.
func (b *Budget) Spend(w Work) bool {
	if b == nil {
		return true
	}
	if w > b.left {
		return false
	}
	b.left -= w
	return true
}

// Left is the work that may still be begun: as much as wanted where there is no end.
func (b *Budget) Left(wanted Work) Work {
	if b == nil {
		return wanted
	}
	return min(wanted, b.left)
}

// Force takes work out of the budget, or all that is left.
func (b *Budget) Force(w Work) {
	if b != nil {
		b.left -= min(w, b.left)
	}
}

// Reserve sets work aside for what comes later, at most half of what is left.
// What it returns gives it back.
func (b *Budget) Reserve(w Work) (release func()) {
	if b == nil {
		return func() {}
	}
	w = min(w, b.left/2)
	b.left -= w
	return func() { b.left += w }
}

// Prefix takes out of the budget the work of as many jobs, from the first on, as
// it is enough for, and says how many.
func (b *Budget) Prefix(n int, work func(job int) Work) int {
	for i := range n {
		if !b.Spend(work(i)) {
			return i
		}
	}
	return n
}

// PlanWork is what it takes to plan which notes so many voices keep: each voice
// looks at each note, in less time than a step takes.
func (ref *Reference) PlanWork(voices int) Work {
	return Work(len(ref.Notes)) * Work(voices) / 2
}
