// Package deal makes of a plan and a song what can be played from it: Standard
// MIDI Files in which every voice has a track of its own, on the port and
// channel that drives it.
//
// Most users need two calls: [New] for a song, and [Deal.Files] for the files.
// [Read] makes the plan with which a file that was dealt is played back, and
// [LineCheck] is a file that plays every voice in turn.
//
// What stays: a file that was dealt by an earlier version says in the same words
// for which rig it was, and is read.
//
// What is dealt is what the engine decides, as alloc/timing has it for an
// export: attacks are where the song has them, and the gap that a gate needs
// before it comes off the note before. Three things are of a MIDI file alone.
//
// # Ticks
//
// The file keeps the song's division, tempi and time signatures. Attacks of a
// song are on its ticks and stay there; what falls between two ticks is
// rounded so that no gap gets shorter: the end of a note to the tick after, or
// to the last that leaves the gap. Where a tick is longer than the gap (or the
// shortest gate, if that is shorter), every tick is cut into the smallest
// number of equal parts that are no longer. Songs of every format and division
// are written as format 1 with that division; of one of format 2 it is the
// track that was read.
//
// # Pitch
//
// A note has the key that the song has, after transposition and folding, and
// all else is bend: the song's own bend, the detune in a unison, the voice's
// correction, a glide in steps of 5 ms. What a mono part plays legato is one
// long note whose bend moves from key to key, since a second note would start
// the envelope of some interfaces again. A pitch that the window clamps is
// sent as the key next to it. All voices have one bend range, which RPN 0 says
// at the start: the smallest whole number of semitones that covers every bend.
// An interface that says "tuning: own" adds corrections by itself, and the
// detune of voices that have the same one whatever they play.
//
// # Controllers
//
// Velocities are those of the notes, and the pressure of a note is channel
// pressure on its voice's channel. Controllers of the rig's macros are copied
// to where the map has them, and so are the velocity and the pressure of a bank,
// or of a voice whose lane is on another interface: each on a track of its own
// before those of the voices. Pedals are not: they are in the lengths of notes.
package deal
