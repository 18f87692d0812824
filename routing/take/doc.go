// Package take makes one file that a whole rack can be measured from: it plays every
// voice of a rig, and what one recording of it holds says how each answers.
//
// Most users need two calls: [New] lays a take out for a plan, and [Read] finds in a
// file that was written what it plays. What a recording says of it is worked out by
// routing/take/recorded.
//
// # The file
//
// A take is a MIDI file with a track a voice, dealt as songs are (routing/deal). Its
// text names the rig and the plan code, and says whether keys went through
// corrections. All else stands in its notes, of each voice in this order:
//
//   - the roll call: the voice's parking key for 0.2 s, one voice after the other;
//   - the slot: from silence the highest reading key, then the others from the
//     lowest, one an octave;
//   - gates of 5 and 20 ms, on the reading key in the middle;
//   - where the plan bends, two notes on that key, bent by two semitones up and down;
//   - the parking key for 0.4 s, and 2 to 4 s in which it fades;
//   - the roll call again, the voices in reverse.
//
// A parking key belongs to one voice, as far as there are keys enough, and is no
// octave of a reading key. A channel that rests, rests there: a voice that hangs on
// another's pitch or gate is told by the key that it sounds at. Pauses and slots have
// unequal lengths, so that a recording fits in one place alone.
//
// What stays: a take that was written by an earlier version is read.
package take
