// Package link says how long MIDI links hold up what a song sends to the
// interfaces of a rig: how late notes arrive, how far chords are spread, and
// for what share of the time each port is busy.
//
// Most users need one call: [Of], for a plan and a song. [Queue] knows nothing
// of either and may be used on any list of messages.
//
// A 5-pin link carries 31 250 bits a second; a byte is a start bit, eight bits
// and a stop bit, 320 µs (IEC 63035:2017 §4.1). One message follows on another,
// so a message waits until all before it have gone.
//
// USB carries packets: [Frames] says when what is sent goes, for all ports of the
// cable together. Audio links have no queue, and none is counted.
package link
