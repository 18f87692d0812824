// Package study says what a song asks of a stack of voices, what it gets, and
// what no rule could give it.
//
// [Play] runs a song through the engine and gives every note exactly one
// ending, beside the demand of the song (how many notes sound at once when
// none is cut) and two bounds that hold for every rule. Demand, bounds and
// damage are all measured against reference intervals: the gate that each note
// would have if voices were without limit ([NewReference]).
//
// The functions on [Interval] lists ([Peak], [Unavoidable], [FewestDamaged],
// [Bounds]) know nothing of music and can be used on their own.
package study
