// Package tuning says how well the voices of a rig are in tune, from readings
// or from recordings, and what to do about it.
//
// [ReadCSV] and [ReadYAML] read what was written down beside the rack, and
// [PitchOf] finds the pitch of a recording ([Decode] reads its file). [Study]
// takes readings to a fit for each voice, the odd ones out of each bank, the
// trimmers to turn and the corrections that a rig file takes.
//
// # Readings
//
// A reading is the pitch that a voice gave for some volts at its pitch input.
// In CSV the first line names the columns, in any order. In YAML a reading is
// a map with these keys, in a list. The list may stand under readings; date and
// reference beside it hold for all:
//
//	voice      K1, or its number from 1; needed
//	volts      at the pitch jack: 2, 2 V, 250 mV
//	key        or the key that the interface was sent, without bend and
//	           without correction: 60, C4 (as the rig names its keys)
//	hertz      what was measured: 440.2, 440.2 Hz
//	beats      or beats a second against a reference, below 0 where the voice
//	           is flat: -0.7, -0.7 Hz
//	reference  what they were counted against: 440, 440 Hz; else the pitch of
//	           the key, as the rig's a4 has it
//	date       2026-11-02; may be left out
//
// A line of CSV that begins with # is a comment. One of them may say what the keys
// went through: "# through: corrections", those that the rig has, or "# through:
// nothing". In YAML it is through: beside readings. Where the rig has corrections
// and nothing says it, no correction takes the place of another.
//
// A recording is named for what it holds: the voice, the key or the volts, and
// perhaps the date, with _ between them: K1_60.wav, K1_C4_2026-11-02.wav,
// L3_2.5V.wav.
//
// # Laws
//
// With volts per octave a voice sounds cents = a + b·V, fitted by least squares
// (ideal b: 1200 by volts per octave). With hertz per volt it sounds
// hertz = a + b·V, fitted with weights of 1/hertz², so that what is made small
// are cents there too, to first order. Three different volts are the least.
// Where a reading of five volts or more lies more than 3 cents off the line, the
// correction has points (piecewise, straight between them). Nothing is said of
// keys beyond the lowest and the highest reading.
//
// A further reading lies within t·s·√(1 + 1/n + (x − mean)²/Sxx) of the line, for 95 %
// of them: t is Student's of n − 2 degrees, s the standard deviation that is left,
// never below the 0.1 cents of a reading itself (assumed). A reading that is whole
// octaves off the others is set apart first. A voice that moves by less than 10 % of
// what was asked does not follow its volts, and has no fit.
package tuning
