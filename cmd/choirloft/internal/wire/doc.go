// Package wire opens the ends of raw MIDI byte streams by their names: standard
// input and output, files, FIFOs and character devices, TCP, and, where the
// program is built with the tag rtmidi, the ports of the system.
//
// [Parse] reads a name, [Opener] opens it, again and again. [Sink] keeps an output
// that may stall, break and come back. Of what the bytes mean it knows as much as
// is needed to put an output low: [Board] keeps which keys stand on it, and
// [Guard] is a process that shares the board and holds the outputs too.
package wire
