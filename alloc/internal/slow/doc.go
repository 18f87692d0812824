// Package slow is the obvious allocator that the fast one is tested against.
// Only tests import it.
//
// It says the rules of voice allocation in the plainest Go there is: slices,
// a linear scan over all notes and all voices for every question, no index,
// no cache. [Run] gives the decisions of a whole performance, [Reference] the
// gates its notes have when voices are without limit. [Play] tells beside the
// decisions whether one of them hung on the last bits of a float: such a
// performance decides nothing between two programs.
//
// It works in two passes. The gates pass follows keys and pedals and says
// when the gate of each note opens, is kept up by a pedal, and closes, whether
// or not a voice plays it. The pool pass walks through what came of that and
// gives, takes and frees voices.
//
// Where the rules leave a choice open, these were made:
//
//   - A part hears an off if its channels and keys do; velocities do not matter.
//   - A note sent to the pedal before its minimum gate is over is on the pedal
//     at once; only its closing waits.
//   - A note that another's off sent to the pedal under first-off is swallowed
//     when the pedal lets it go before its own off has come.
//   - Under same-key, the tail of the same key is taken before any other voice,
//     also where no voice is free.
//   - The next voice of strict round-robin is taken in its tail without asking
//     the stealing rule; held or on the pedal it is the only one to be stolen.
//   - What competes at equal standing with the newcomer loses nothing: the
//     newcomer is given up. Quietest takes the newcomer for full.
//   - Tails are no part's: priorities do not protect them. The newcomer stands
//     at its own part's priority, so a part below it is asked first.
//   - Foresight gives up first what ends at this instant anyway, which is no
//     cut; without that fewest-cuts would not reach its bound.
//   - Fold moves the key by octaves and lets bend and detune clamp; drop asks
//     for the pitch with the bend it starts with, detune left out.
//   - A voice that is free starts from silence, a tail from the level it has.
//   - A mono note that goes on under another key takes that channel's bend and
//     pressure on. A sostenuto latch stays with the key: the one gate has it
//     while it sounds that key. It is swallowed when an earlier off of the key
//     that sounds ends it. A key that does not win uses its channel, as to
//     tails, like one that does.
//   - A cut, like a drop, is for the reserve where voices were free that the
//     part may not have; it is for the unison where there are voices for every
//     key that is down or on the pedal, but not as many as all of them take.
//   - A note that waits starts as soon as its rules give it all its voices: under
//     hard none when tails have ended, under strict round-robin when the next ones
//     are silent, under fixed when the one voice of its key is. If its key goes up
//     while it is bent out of the window, that is why it is dropped. Struck again
//     while it waits it never sounds, so it is dropped; the next note waits in its
//     place.
//   - The next voice of strict round-robin is none that the note already has.
//   - A voice that an elastic note regrows gets its lowest unused position.
//   - The pointer of round-robin stands, after a stack, on that of its last
//     position.
//   - A zone that changes bends what sounds at once. A channel that becomes a
//     member has the pedals that its manager has down, sostenuto without a latch;
//     one that leaves keeps its own as they stand.
//
// It hears no events that are not already in order.
package slow
