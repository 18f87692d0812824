package midi

// Parameters follows the registered and non-registered parameters of one
// channel: which one controllers 98–101 have selected, and what data entry
// (6, 38, 96, 97) makes of those that matter here, the bend range (RPN 0) and
// the zone of per-note channels (RPN 6). The zero value is a channel as it is
// at power-up: nothing selected, and a bend range of two semitones (General
// MIDI 1).
//
// It serves a live stream as well as a file.
type Parameters struct {
	number selector
	// The bend range: semitones, less the two it starts from, and cents.
	semitones int8
	cents     uint8
}

// selector is the parameter that data entry is for.
type selector struct {
	registered bool
	// Of the number's upper and lower seven bits the distance from 127, so
	// that zero is the null parameter, 127 and 127.
	high, low uint8
}

// The registered parameters that have a step, by their upper and lower bits.
var (
	bendRange = selector{true, 127 - 0, 127 - 0}
	zone      = selector{true, 127 - 0, 127 - 6}
)

// The controllers that select parameters and enter data (MIDI 1.0, table III).
const (
	ctlDataEntry    = 6
	ctlDataEntryLow = 38
	ctlIncrement    = 96
	ctlDecrement    = 97
	ctlNRPNLow      = 98
	ctlNRPNHigh     = 99
	ctlRPNLow       = 100
	ctlRPNHigh      = 101
)

// SelectsParameter tells whether a controller only selects a parameter or
// enters data.
func SelectsParameter(number uint8) bool {
	return number == ctlDataEntry || number == ctlDataEntryLow ||
		number >= ctlIncrement && number <= ctlRPNHigh
}

// Control takes in a control change. Where it sets a parameter that has a
// step, it returns the step's kind, StepBendRange or StepZone, its value as
// [StepKind] has it, and true; number and value are 0–127.
//
// The upper byte of a bend range sets the semitones and keeps the cents, the
// lower byte the other way round; increment and decrement move it by a cent,
// whatever their value (RP-018, from memory). Zones have their number of
// channels, 0–15, in the upper byte; a larger number is ignored (M1-100-UM).
// Controller 121 selects the null parameter and keeps the bend range (RP-015).
func (p *Parameters) Control(number, value uint8) (kind StepKind, result uint16, ok bool) {
	switch number {
	case ctlNRPNLow, ctlNRPNHigh, ctlRPNLow, ctlRPNHigh:
		p.number.choose(number, value)
	case ctlReset:
		p.number = selector{}
	case ctlDataEntry, ctlDataEntryLow, ctlIncrement, ctlDecrement:
		return p.enter(number, value)
	}
	return 0, 0, false
}

// BendRange returns the bend range in cents, 0–12 827.
func (p *Parameters) BendRange() int { return 100*(int(p.semitones)+2) + int(p.cents) }

// choose sets one half of the number. A change between registered and other
// parameters leaves the other half null until it comes too.
func (s *selector) choose(number, value uint8) {
	registered := number >= ctlRPNLow
	if s.registered != registered {
		*s = selector{registered: registered}
	}
	if number == ctlRPNHigh || number == ctlNRPNHigh {
		s.high = 127 - value
	} else {
		s.low = 127 - value
	}
}

func (p *Parameters) enter(number, value uint8) (StepKind, uint16, bool) {
	switch p.number {
	case bendRange:
		p.enterRange(number, value)
		return StepBendRange, uint16(p.BendRange()), true
	case zone:
		return StepZone, uint16(value), number == ctlDataEntry && value <= 15
	}
	return 0, 0, false
}

func (p *Parameters) enterRange(number, value uint8) {
	switch number {
	case ctlDataEntry:
		p.semitones = int8(value) - 2
	case ctlDataEntryLow:
		p.cents = value
	case ctlIncrement:
		p.setRange(min(p.BendRange()+1, 127*100+99))
	case ctlDecrement:
		p.setRange(max(p.BendRange()-1, 0))
	}
}

func (p *Parameters) setRange(cents int) {
	p.semitones, p.cents = int8(cents/100)-2, uint8(cents%100)
}
