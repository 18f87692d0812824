// Package recorded says from one recording of a take how each voice of a rack answers:
// which cables are in the wrong jack, which voices are silent, stuck or an octave off,
// and of each voice its pitch, release, attack, level and latency.
//
// Most users need one call: [Read]. It reads the recording in pieces, so that its
// length costs no memory.
//
// # How it reads
//
// All planned onsets are laid over the rises of the recording's third-octave bands, at
// every shift and for clocks up to 300 ppm apart. The best place counts if the second
// best fits clearly worse. The rate between the clocks is then the median over voices of
// the time between a voice's two roll calls (Theil 1950, Sen 1968: a line by the median
// of slopes), so that how slow a voice answers cancels. Another file of the same rig may
// fit in one place as well as this one; it is told by its roll calls, of which at most
// one is where this take has it, and by slots that are longer or shorter.
//
// Over a voice's slot whole hypotheses are compared: in its place, octaves off, on the
// parking key of another voice, on the pitch of 0 V. Each is scored by the share of the
// power that lies on the harmonics it expects. Nothing else is looked for. A comb of
// harmonics whose own ones are empty, those that no multiple of it shares, is none.
//
// The pitch of a key is the slope of the phases of its harmonics, the median over them
// weighted by how loud and high they are. Release is a Theil–Sen line through the level
// of the loudest low harmonic, in dB over time. Attack and latency are those of the
// highest key, from silence: from 10 % to 90 % of the rise, and the 10 % point.
//
// # What it cannot tell
//
// A voice with pitch and gate both crossed sounds right. Crossed gates and crossed
// pitches sound alike. A voice that doubles another on the same key is heard as one.
// Latency is counted from the quickest voice, since nobody knows when the player
// started. Pitch rests on the player's clock: 100 ppm are 0.17 cents, for all voices.
package recorded
