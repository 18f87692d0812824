// Package live plays a plan in real time: the bytes of keyboards and sequencers
// go in, those for the interfaces come out, decided by the same engine that
// replays and exports. It reads no clock and opens nothing: whoever calls it
// says what time it is, from the start of the session, and carries the bytes.
//
// Most users need [New], and then [Session.Receive] for what was read,
// [Session.Advance] when the time of [Session.Next] has come, after either
// [Session.Send] for what is to be written, and [Session.Stop] in the end. A
// session is not safe for use by several goroutines.
//
// # Arrival
//
// Events act in the order in which they come, each at least a microsecond after
// the one before, so that no two stand at one instant. A [LogFile] is a song of
// them, a microsecond a tick, that grows as they come: replayed, it gives the same
// decisions. A rule that looks ahead is refused.
//
// # Broken lines
//
// What is lost on the way must not leave a note standing. Where the bytes of an
// input show that something was lost, its channel lets go of all keys and
// pedals, or all channels where nothing tells which; and so it is where an
// input ends, where it is silent after active sensing (MIDI 1.0, from memory:
// 300 ms; a tenth more is given), and on a system reset. These messages too
// stand in the log. A lost byte that makes other valid messages of what follows
// cannot be seen; the next status byte shows it.
//
// # What comes out
//
// Each voice has its port and channel, as the map says. The bend range is set by
// RPN 0 at the start and does not change: the whole semitones that cover the
// rig's own bends, detunes and corrections, and 24 more where a mono part glides
// or plays legato. A bend beyond it goes to its end and is counted. A gap before
// an attack makes the new note late; nothing is
// dropped but by the rules.
package live
