package circuit

import "choirloft/profiles"

// What is assumed of a buffered multiple that nobody measured, and of gates:
// common practice.
const (
	BufferGain   = 0.001                  // error of its gain, either way
	BufferOffset = profiles.Volts(0.001)  // error of its zero, either way
	BufferInput  = profiles.Ohms(100_000) // of its input
	DiodeDrop    = profiles.Volts(0.7)    // of a diode of a gate-OR
	GateMargin   = 0.2                    // by which share a gate should pass its threshold
)

// Buffers is a chain of buffers, one behind the other: their errors add up.
type Buffers struct {
	Depth  int
	Gain   float64        // error of each, either way
	Offset profiles.Volts // error of each, either way
}

// AssumedBuffers is a chain of which nothing was measured.
func AssumedBuffers(depth int) Buffers { return Buffers{depth, BufferGain, BufferOffset} }

// CentsPerOctave is how far the gains may bend the pitch, either way: 1.2 cents
// per octave for 0.1 %.
func (b Buffers) CentsPerOctave() float64 { return 1200 * b.Gain * float64(b.Depth) }

// Zero is how far the offsets may move a voltage, either way.
func (b Buffers) Zero() profiles.Volts { return b.Offset * profiles.Volts(b.Depth) }
