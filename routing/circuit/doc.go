// Package circuit says what outputs, multiples and inputs do to a voltage on
// its way: how much is lost to a load, what a chain of buffers adds, how many
// multiples a tree takes.
//
// # Formulas
//
//	gain into N inputs      g(N) = 1/(1 + N·Rs/Rin)             Load.Gain
//	loading, V/oct          1200·(g(N)/g(Ncal) − 1) cents an octave   Bend
//	loading, Hz/V           1200·log2(g(N)/g(Ncal)) cents everywhere  Shift
//	multiples at least      ⌈(N−1)/(outs−1)⌉                    Tree.Least
//	at equal depth          Σ ⌈N/outs^j⌉, j = 1…⌈log_outs N⌉    Tree.Equal
//	buffers                 0.1 % and 1 mV a level, adding up   Buffers
//	gate                    Vg·g(N) − 0.7 V for each diode, against threshold + 20 %   Gate
//
// They follow from Ohm's and Kirchhoff's laws; what is assumed of buffers and
// gates is common practice. Most users need [Load.Gain] and [NewTree].
//
// # What it will not do
//
// It knows no rig, no jacks and no voices, and judges nothing.
package circuit
