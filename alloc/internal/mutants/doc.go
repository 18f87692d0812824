// Package mutants breaks alloc and alloc/study on purpose, one place at a
// time, and counts the breaks that no test notices. It is nothing but tests:
//
//	CHOIRLOFT_MUTANTS=100 go test -v -cpu 1 -timeout 4h ./alloc/internal/mutants
//
// tries 100 drawn mutants, "100@7" those of seed 7 instead of 1, "all" every
// one, and anything else those whose names contain it, such as "pitch.go", or one
// of several such texts, parted by semicolons: those that survived, say. As many are
// tried at a time as -cpu says, in the order drawn. What cannot be noticed is left out of a draw.
//
// A mutant is one of: an operator of comparison moved by its bound or turned
// round, + for -, && for ||, a condition negated, a number in the code one
// more or one less, an assignment or a call left out, break for continue.
// Left as they are: declared constants, what a for statement does after each
// turn, deferred calls, panics, what make keeps ready, and tests.
//
// All mutants are compiled into one binary a package: each place asks a
// variable whether it is the broken one. So nothing is built twice. First every
// test is run alone, without a mutant, and the places are written down at which
// a mutant would have given it another value: no other test can notice that one.
// A mutant then costs only those of its tests that run until one fails, quick ones first. Running
// out of processor time or memory is noticed too.
//
// What survives and cannot be noticed is listed with its reason in
// DEVELOPERS.md, under "Mutants".
package mutants
