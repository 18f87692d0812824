package contract

// Weight is how much is heard of a loss: what its mark in a picture says.
type Weight uint8

// How much is heard, the least first.
const (
	Unheard Weight = iota
	Faint
	Plainly
	Unweighed // nobody listened
)

// String is plain, faint, unheard or unweighed.
func (w Weight) String() string { return [...]string{"unheard", "faint", "plain", "unweighed"}[w] }

// Weigh says how much is heard of a loss of a result, nil for one that has no place among the losses.
func (r *Result) Weigh(l *Loss) Weight {
	switch {
	case r.Heard == nil:
		return Unweighed
	case l == nil || l.HeardOne == nil || l.HeardDB == nil:
		return Unheard
	case l.Plain():
		return Plainly
	}
	return Faint
}
