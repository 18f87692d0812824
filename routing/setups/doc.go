// Package setups works out the set-ups of a rack, complete ways of patching it,
// and how to get from one to another with the fewest hands on cables.
//
// Most users need three calls: [New] for the patch of a set-up, [Between] for
// the way from one patch to another, and [Ways] for how many moves it would
// take if the sequencer were wired otherwise.
//
// # What a set-up is
//
// A set-up from interfaces is the map, as far as it comes out of them.
//
// In a set-up from a sequencer, each part plays its banks as one voice, by the
// common pitch jack of the bank or by multiples, and by multiples or a gate-OR
// for the gates. Of the map everything stays plugged that may: what leads to
// other banks and other inputs; the pitches of voices beside a common jack that
// sums, as long as their interface can rest them at 0 V; those beside a switch;
// and gates where a gate-OR takes both. What may not is pulled: an input takes
// one plug, and a plug in a voice's own jack breaks a normal.
//
// A gate-OR is a module for one bank, with an input and an output for each
// voice, and an input common to all. Where one set-up of a rig has it, the
// gates of those banks go through it in all.
//
// # What a move is
//
// One cable pulled, one cable plugged, or one switch turned over. From patch A
// to B, the cables A∖B are pulled and B∖A plugged. Multiples of one
// kind are alike, and so are their outputs: which one serves where is chosen so
// that most stays plugged, which makes the moves the fewest.
package setups
