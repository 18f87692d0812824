// Package listen makes a song audible as it is asked for, as it is played, and what
// goes missing between the two.
//
// [New] plays a song through a plan and lists its strands; [Sketch.Peaks] finds how
// loud it becomes, and [Sketch.Write] writes it as sound. It is a sketch of
// envelopes, detune and losses through the model of package hearing, and not the
// sound of anybody's voices.
//
// A strand is one sounding of a note on one voice, or of the notes of a mono part
// that follow each other under one gate: a note of a unison has one for each voice.
// It has one pitch in time and two envelopes, asked and played, as hearing has them:
// asked for the reference interval with the whole tail, played as the edges of the
// gates say. Where a voice is taken, or a key is struck again, the sound fades over
// 2 ms. A note whose pitch is out of range has two strands, for what is asked is then
// another wave than what is played.
//
// The phase of a strand is a function of note, position and time: it starts at a
// place drawn from the first two, and turns with the pitch from the time at which the
// note is asked to start. So both envelopes are of the same wave, and an excerpt is
// the same to the last bit as that stretch of the whole. What is asked less what is
// played is what is missing, sample by sample, since samples are whole numbers.
//
// What is assumed beside the model: every voice is off by its tuning error and drift
// (see [tunings]); it stands in the field where the map puts it. A dropped note has
// the voice that has been idle the longest. An elastic unison, whose voices come and
// go, sounds as one voice a note, without its beats.
//
// The same input gives the same bytes on every machine: see alloc/study/hearing.
package listen
