package circuit

import "choirloft/profiles"

// What is assumed of parts that nobody measured: common practice, from memory.
const (
	BufferGain   = 0.001                  // error of the gain of an amplifier, either way
	BufferOffset = profiles.Volts(0.001)  // error of its zero, either way
	BufferInput  = profiles.Ohms(100_000) // resistance of its input; there is none behind its output
	DiodeDrop    = profiles.Volts(0.7)    // of a diode of a gate-OR
	GateMargin   = 0.2                    // by which share a gate should pass its threshold
	ModuleGate   = profiles.Volts(2.5)    // threshold of a module for gates
	ModuleHigh   = profiles.Volts(5)      // volts of a gate that it gives
	PullUp       = profiles.Volts(5)      // that an input for contacts rests at, through its resistance
)

// Output is one that gives volts behind a resistance.
func Output(r profiles.Ohms) Part { return Part{Kind: Linear, Out: r} }

// Short is an output that closes a contact to ground.
func Short() Part { return Part{Kind: Switch} }

// Input is one that takes volts as they are.
func Input(r profiles.Ohms) Part { return Part{Kind: Node, In: r} }

// GateInput is on above a threshold.
func GateInput(r profiles.Ohms, threshold profiles.Volts) Part {
	return Part{Kind: Compare, In: r, Threshold: threshold}
}

// LowInput is on below a threshold: by a contact to ground, or a gate that is low.
// With nothing before it, it rests at [PullUp].
func LowInput(r profiles.Ohms, threshold profiles.Volts) Part {
	return Part{Kind: Compare, In: r, Threshold: threshold, Invert: true, Pull: PullUp}
}

// Buffer is a buffered multiple of so many outputs, 0 for as many as are wanted; with
// several inputs an adder.
func Buffer(outs int) Part {
	return Part{Kind: Linear, In: BufferInput, Outs: outs, Assumed: true, Gain: 1, GainError: BufferGain, ZeroError: BufferOffset}
}

// Attenuator lets a share of its volts through, by an amplifier.
func Attenuator(gain float64) Part {
	p := Buffer(0)
	p.Gain = gain
	return p
}

// Pot is an attenuator without an amplifier, which lets a share of its volts through while
// nothing hangs on it. By Thévenin's theorem its wiper stands behind gain·(1 − gain)·r. The
// resistance before it is left out there, which errs by less than its share of r.
func Pot(gain float64, r profiles.Ohms) Part {
	return Part{Kind: Linear, In: r, Out: profiles.Ohms(gain*(1-gain)) * r, Gain: gain}
}

// Offset adds so many volts, by an amplifier.
func Offset(volts profiles.Volts) Part {
	p := Buffer(0)
	p.Offset = volts
	return p
}

// Or is a gate-OR of diodes.
func Or() Part { return Part{Kind: Diode, In: BufferInput, Assumed: true, Drop: DiodeDrop} }

// ToShort is a converter from gates of volts to S-trig.
func ToShort() Part {
	p := GateInput(BufferInput, ModuleGate)
	p.Contact, p.Assumed = true, true
	return p
}

// Inverter is a gate that is high while its input is low.
func Inverter() Part {
	p := GateInput(BufferInput, ModuleGate)
	p.Invert, p.High, p.Assumed = true, ModuleHigh, true
	return p
}

// Trigger is a gate of that length whenever one at its input begins: see [Graph.Fire].
func Trigger(length profiles.Duration) Part {
	p := GateInput(BufferInput, ModuleGate)
	p.High, p.Pulse, p.Assumed = ModuleHigh, length, true
	return p
}

// FromShort is a converter from S-trig to gates of volts.
func FromShort() Part {
	p := LowInput(BufferInput, ModuleGate)
	p.High, p.Assumed = ModuleHigh, true
	return p
}
