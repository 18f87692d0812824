// Package rack keeps the books of a case: which modules stand in which row and
// how wide they are, what they draw from which supply, and how else they might
// be shared out where a supply has too much to bear.
//
// The sums are arithmetic; that a rail should be loaded to three quarters of
// its rating at most is common practice. [New] does all of it.
//
// # What it will not do
//
// It is bookkeeping, not approval: it knows nothing of mains, of heat, of inrush
// or of cables. Local codes and a licensed electrician decide.
package rack
