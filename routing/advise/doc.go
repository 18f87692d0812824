// Package advise looks for the settings with which a rack as it stands plays songs best,
// and for what else would help: an export, the sound, the playing, recordings, and what
// is bought. Nothing is offered that was not played.
//
// Most users need one call: [Find]. It plays each single change, then the best of
// them together, from the rig as it is and from all parts on all banks: each change
// keeps what it gained when it was last played, and the best of these are tried
// again, until a sweep over all gains nothing (lazy greedy, Minoux 1978, from memory: a
// heuristic here, since changes may help each other), and on small racks so from the next best settings too. Where all
// settings together are few, up to 3 000, all are played, and nothing on the list is beaten by what is not.
//
// What is asked for is the song as it is given on the rig as it is given. A fix is
// judged by [Figures]: what is heard beside that, and the notes that it drops, cuts or
// changes. See [Fix] for what is listed and in which order.
//
// What is chosen, where more than one reading would do:
//   - A fix that is heard has to save 2 % of what is heard, or of the notes or seconds lost; a change of it 2 % of
//     what it saves. Less is for nobody's ear, and fills lists.
//   - A part that is transposed is not heard to be wrong: all its notes are octaves away, and counted so.
//     Such a fix has a price, and may be first all the same: where more notes are at the wrong pitch than
//     lost, and it mends more of them than it moves besides.
//   - What a part loses more while all lose less is said ([Harm]), and no price: whoever shares banks gives something.
//   - The keys of a part are split in two, at three keys or where its range ends: more keys are hardly another
//     sound, and each would be played.
//   - Recordings by part stay on the list beside recordings that share each part out, which always lose less,
//     since a part is what one records.
//   - Gates are shortened by trims and by a time, pedals by lifts, each also only where voices are short.
package advise
