// Package advise looks for the settings with which a rack as it stands plays songs best,
// and for what else would help: an export, the sound, the playing, recordings, and what
// is bought. Nothing is offered that was not played.
//
// Most users need one call: [Find]. It plays each single change, then the best of
// them together, from the rig as it is and from all parts on all banks: each change
// keeps what it gained when it was last played, and the best of these are tried
// again, until a sweep over all gains nothing (lazy greedy, Minoux 1978, from memory: a
// heuristic here, since changes may help each other). Where all settings together are few, all
// are played, and nothing on the list is beaten by what is not.
//
// What is asked for is the song as it is given on the rig as it is given. A fix is
// judged by [Figures]: what is heard beside that, and the notes that it drops, cuts or
// changes. See [Fix] for what is listed and in which order.
package advise
