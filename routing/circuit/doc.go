// Package circuit says what outputs, multiples, modules and inputs do to a voltage
// on its way. A [Graph] is parts of five kinds and wires; everything that is said of
// paths asks it.
//
// # Formulas
//
//	node      Σ V/R / Σ 1/R over what drives and loads it (Millman)   Graph.Volts
//	linear    Σ gain·V + offset, behind its output resistance
//	compare   on above its threshold, or below: volts or a contact    Graph.On
//	          a trigger only within its pulse                         Graph.Fire
//	diode     the highest of its inputs − 0.7 V, not below 0 V
//	switch    its two sides joined; a contact joins its wire to ground
//
//	gain into N inputs      g(N) = 1/(1 + N·Rs/Rin)             Load.Gain
//	loading, V/oct          1200·(g(N)/g(Ncal) − 1) cents an octave   Bend
//	loading, Hz/V           1200·log2(g(N)/g(Ncal)) cents everywhere  Shift
//	multiples at least      ⌈(N−1)/(outs−1)⌉                    Tree.Least
//	at equal depth          Σ ⌈N/outs^j⌉, j = 1…⌈log_outs N⌉    Tree.Equal
//
// They follow from Ohm's and Kirchhoff's laws; what is assumed of modules and gates
// is common practice (parts.go). Most users need [Graph.Volts] and [Graph.Load].
//
// # What it will not do
//
// It knows no rig, no jacks and no voices, and judges nothing.
package circuit
