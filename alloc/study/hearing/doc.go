// Package hearing says what is heard of the difference between a song as it is
// asked for and as it was played: a model of the ear beside the counts of package
// study.
//
// [Hear] judges one song that was played, its parts and each loss; [NewCurve] one
// song on many numbers of voices, with the fewest on which nothing is heard to be
// missing. [Vary] tells how far these rest on what is assumed, [Weights] how much
// each note alone would be missed.
//
// A voice is a wave through a low-pass; its level follows the envelope, and falls by
// 60 dB in the release once the gate is low. A key of it excites the bands of the
// ear, every half of an equivalent rectangular bandwidth, through rounded exponential
// filters (Glasberg & Moore 1990); the noise inside the ear makes the threshold of
// hearing (ISO 226). Powers add, which is right on average over phases, not where
// octaves, equal keys or a unison nearly coincide.
//
// As asked, every note sounds for its reference interval with its whole tail, up to
// where its key is struck again in its part. As played, what the losses took is
// missing, and what sounded too long, as where others held its gate, is added. What a note that begins late has lost
// is the time until its gate opens; that its attack is then later too is left out. The
// difference is that of the band that differs most, at most 10 dB, averaged over 200
// ms around: [Ear] says from where on it is heard. Unisons are judged by level
// alone, and a pitch only where it is wrong by half a semitone or more.
//
// The model overstates treble and leaves out masking in time. So what it does not
// hear is safe, and what it calls plain is good within a factor of two in dB.
//
// The same input gives the same bytes on every machine: see arith.go.
package hearing
