// Package detune lays the voices of a unison out in pitch and in the stereo
// field, and says how they beat.
//
// # Formulas
//
// A [Spec] gives the voices of a stack their places over a total width W in
// cents, lowest to highest:
//
//	even     W·(i/(n−1) − ½)
//	power    ±(W/2)·|x|^p, x evenly from −1 to 1
//	uneven   the marks of a Golomb ruler, no two differences alike
//	golden   frac(i/φ), sorted and stretched to ±W/2
//	random   seeded
//
// Its companions, f being the pitch of a key in hertz and c a detune in cents:
//
//	pitch of a key       a4·2^((k−69)/12)                  Frequency
//	detune in hertz      f·(2^(c/1200) − 1)                Delta
//	detune from a beat   1200·log2(1 + b/f)                CentsOfBeat
//	detune over keys     c·(f0/f)^b, b from 0 to 1         Scaling
//	common throb         every 1/D s, silent at 1/(n·D) s  Throb
//	own scatter          σ = √(σcal² + σdrift² + σlsb²)    Scatter; and σpath² of buffers
//	two voices swap      Φ(−gap/(σ√2))                     SwapChance
//
// They are arithmetic and common practice among builders. The rulers are the
// optimal ones found by exhaustive search (tests find those up to eight marks
// again); the spacing of the golden law rests on the three-gap theorem (van
// Ravenstein 1988).
//
// Most users need two calls: [Spec.Spread] for the cents, and [BeatsOf] for
// what they sound like at a key. [Pans] and [Warnings] take the same cents.
//
// # What it will not do
//
// It does not choose a law, knows no keys but as frequencies, no jacks and no
// files, measures nothing and writes no sentences: bad news comes as codes and
// numbers. Positions count from 0, in the order of the cents that were given.
// Nothing is rounded here.
package detune
