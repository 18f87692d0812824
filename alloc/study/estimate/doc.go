// Package estimate says how many voices a way of playing needs when there is no
// song yet: by traffic theory, and by a random player whose notes the real
// engine plays.
//
// Most users need two calls: [Parse] for a description, and [Run].
//
// # The description
//
//	playing = layer { ( "+" | ";" ) layer }          at most 16
//	layer   = [ part "=" ] what "," rate "," length { "," option }
//	what    = "notes" | "chords of" count [ "-" count ]   from 1 to 64; a range: each as often
//	rate    = number "a second" | number "a minute"  of notes or chords; at most 100 a second
//	length  = number ( "s" | "ms" )                  from key down to key up: 1 ms … 600 s
//	option  = "even"                                 in time; else at random
//	        | "pedal" number ( "s" | "ms" )          sustain, lifted and pressed again so often
//
// as in "notes, 3 a second, 0.5 s", "chords of 3-5, 90 a minute, 1.5 s, pedal 4 s"
// or "pad=chords of 4, 1 a second, 2 s + bass=notes, 2 a second, 0.4 s". Numbers
// have a decimal point. A layer that is aimed at no part is played by the first
// poly part of the rig. There is one foot: pedals are all the same, and layers of
// one part have it together.
//
// # The theory
//
// Notes per second times the mean time that a note lasts is the mean number that
// sound (J. D. C. Little, Operations Research 9, 1961), the offered load in
// erlang. A note lasts until its key is up (at least the minimum gate), with the
// pedal until the lift after that: half the time between lifts more on average.
// Its tail is that of the slowest voice in service, from the level that the
// envelope has then reached down to the audible limit.
//
// If notes come one by one at random (Poisson), the share of notes that a rule
// which never steals refuses on v voices is Erlang's B, whatever the lengths
// ([ErlangB]); with unisons of several sizes its generalisation ([MultiRate]).
// A rule that steals the oldest damages the notes during which at least v more
// begin: if all last equally long, or until the same lift, as often as at least v
// notes sound, P(Poisson(load) ≥ v).
//
// The notes of a chord come at one instant, so neither holds for chords. If
// chords come at random the notes that sound have a compound Poisson distribution,
// which Panjer's recursion gives exactly (H. H. Panjer, ASTIN Bulletin 12, 1981,
// 22–26; from memory), mixed over the phase of the pedal where there is one. A
// note of a chord finds besides them those notes of its chord that were struck
// before it. The share of notes that find fewer free voices than they take is
// exactly what stealing the oldest damages if all notes last equally long, and
// with different lengths no rule that cuts only when it must damages more: each
// cut needs such a note. Layers that are "even" have as many chords sounding as
// fit into a note's length, one more or one fewer; how they fall together with
// each other and with the pedal counts as random.
//
// What the theory leaves aside: reserves and limits of parts; keys struck again
// while they sound; a unison that thins or waits counts as one that takes blocks,
// and an elastic one as one voice a note. The random player leaves nothing aside.
package estimate
