// Package midi reads Standard MIDI Files into one list of channel messages,
// puts these into the order and at the times in which they act, and writes
// such files.
//
// It follows the Standard MIDI Files 1.0 specification (RP-001, also IEC
// 63035), with device names (RP-019), MIDI files in RIFF (RP-029) and the port
// event FF 21 of common practice. Most people need two calls: [Read], and
// [Song.Steps] of what it returns. [TempoMap] and [MeterMap] turn ticks into
// time and into bars and beats. [Score.Bytes] writes a file.
//
// The package does not open files, keeps nothing of lyrics, markers, keys or
// system exclusive messages, does not play messages hidden in escapes (F7),
// and gives no start offset to tracks (FF 54).
//
// # The file
//
// Numbers are big-endian but in RIFF. A quantity is one to four bytes of seven
// bits each, the highest first, all but the last with the top bit set.
//
//	file      = header { track | alien } | riff
//	riff      = "RIFF" size32le "RMID" { chunk32le } "data" size32le file
//	header    = "MThd" size32 format16 tracks16 division16 { byte }   size ≥ 6
//	division  = 0 ticks-per-quarter15 | 1 negative-frame-rate7 ticks-per-frame8
//	track     = "MTrk" size32 { quantity event }                      the last is FF 2F 00
//	alien     = four printable characters, size32 { byte }            skipped
//	event     = message | sysex | meta
//	message   = [ status ] data [ data ]                              80–EF, then 00–7F
//	sysex     = ( F0 | F7 ) quantity { byte }
//	meta      = FF type quantity { byte }
//
// A message without status has that of the message before it in the track
// (running status), which sysex and meta events cancel.
//
// # What is done with a file that is not so
//
// What cannot be read at all is a [FormatError]: no header chunk, no track
// chunk, or a division without meaning. Everything else is read as far as it
// goes, with a [Warning] for each place:
//
//   - Where no chunk begins, or an alien one runs past the end of the file,
//     reading goes on at the next "MTrk". A track that runs past the end of the
//     file ends at the next "MTrk" or at the end.
//   - A track ends where its chunk does, in mid-event or not; where an end of
//     track stands; or where a quantity has more than four bytes.
//   - Running status is kept across sysex, meta events and status bytes F1–F6.
//   - A data byte above 127 is read as 127, and what follows it as if it were
//     right: a value out of range is a common fault, a lost byte is not.
//   - Data bytes for which there is no status are skipped up to the next byte
//     that can begin an event: a status followed by its data bytes, F0, F7 or
//     FF. That event is at the same tick: the times among the skipped bytes
//     are lost with them.
//   - Status bytes F1–F6 and F8–FE are skipped, with the data bytes they have
//     on a cable.
//   - Meta events shorter than they should be, tempi of 0, time signatures of
//     no beats or with a unit below 1/128 and ports above 127 are ignored;
//     longer meta events are read as far as known, as the standard asks.
//   - A song is not read past 2^62 ns (146 years) or 2^47 ticks.
package midi
