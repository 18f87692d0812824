// Package wire opens the ends of raw MIDI byte streams by their names: standard
// input and output, files, FIFOs and character devices, TCP, and, where the
// program is built with the tag rtmidi, the ports of the system. It knows
// nothing of what the bytes mean.
//
// [Parse] reads a name, [Endpoint.Read] and [Endpoint.Write] open it. [Sink]
// keeps an output that may stall, break and come back.
package wire
