package circuit

import "choirloft/profiles"

// Gate is a gate of so many volts at inputs with a common threshold.
type Gate struct {
	Volts     profiles.Volts // of the output, high
	Load      Load
	Threshold profiles.Volts
}

// AtInput is what reaches each input: Vg·g(N).
func (g Gate) AtInput() profiles.Volts { return g.Volts * profiles.Volts(g.Load.Gain()) }

// Wanted is what should reach it: the threshold and 20 % more.
func (g Gate) Wanted() profiles.Volts { return g.Threshold * (1 + GateMargin) }
