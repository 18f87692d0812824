package contract

// Map is the channel map of a rig: which jack and message drives which voice.
type Map struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Summary     string `json:"summary"`
	MiddleC     int    `json:"middle_c"` // the octave of key 60

	Interfaces     []Interface   `json:"interfaces"` // in the order of the rig
	Banks          []MapBank     `json:"banks"`
	Voices         []MapVoice    `json:"voices"`
	Lanes          []MapLane     `json:"lanes"` // shared by a bank, or only wired
	Macros         []MapLane     `json:"macros"`
	Paths          []Path        `json:"paths"` // from jacks to inputs
	Cables         []Cable       `json:"cables"`
	SetUps         []string      `json:"set_ups"`       // of the rig
	SetUpCables    []Cable       `json:"set_up_cables"` // that set-ups plug, and that are none of Cables; purpose may be empty
	CablesToBuy    []CableLot    `json:"cables_to_buy"`
	ColoursToBuy   []CableShade  `json:"colours_to_buy"`
	MultiplesToBuy []MultipleLot `json:"multiples_to_buy"` // that wires go through; modules under gear are there
	Spare          Spare         `json:"spare"`
	Revision       *Revision     `json:"revision"`      // what changed since another map; null where none was named
	GateOrs        []string      `json:"gate_or_banks"` // banks whose gates go through a gate-OR in all set-ups
	Unisons        []Unison      `json:"unisons"`
	Missing        []string      `json:"missing"`  // lanes that have no jack
	Steps          []Step        `json:"steps"`    // ways down that make everything fit
	Growth         *Growth       `json:"growth"`   // what ends first in a larger rack
	RestsOn        *PitchBasis   `json:"rests_on"` // of the tuning errors
	Findings       []Finding     `json:"findings"`
	Bought         *Purchase     `json:"bought"` // null where nothing is
}

// MapBank is a bank, and what its cables are known by.
type MapBank struct {
	Name   string `json:"name"`
	Colour string `json:"colour"`
}

// Sheet is a map with what is printed beside it.
type Sheet struct {
	Map     *Map       `json:"map"`
	Changes []*Repatch `json:"changes"` // the ways between the set-ups of the rig
}

// Interface is a box of jacks, and how it turns keys into volts. It has volts
// per octave from a zero key, or else hertz per volt from a reference.
type Interface struct {
	Name           string   `json:"name"`
	Profile        *string  `json:"profile"` // null where the rig names none
	CV             int      `json:"cv"`      // jacks
	Gates          int      `json:"gates"`
	Outputs        int      `json:"outputs"` // that give a CV or a gate; the others are 0 then
	PerConnector   int      `json:"per_connector"`
	LowV           float64  `json:"low_v"` // of the window
	HighV          float64  `json:"high_v"`
	VoltsPerOctave *float64 `json:"volts_per_octave"` // null in hertz per volt
	ZeroKey        *int     `json:"zero_key"`         // the key at 0 V; null as above
	ReferenceHz    *float64 `json:"reference_hz"`     // null in volts per octave
	ReferenceV     *float64 `json:"reference_v"`      // that gives it; null as above
	RangeSource    Source   `json:"range_source"`     // of the window
	ZeroKeySource  Source   `json:"zero_key_source"`
}

// MapVoice is one voice on the map. Part, unison, detune and pan are those of
// the first part that plays on it; Seats has them for every part.
type MapVoice struct {
	Voice       int       `json:"voice"` // from 1
	Name        string    `json:"name"`
	Bank        string    `json:"bank"`
	Position    int       `json:"position"`
	State       string    `json:"state"` // in, out, limited, spare, joined: plays what another voice does
	LowKey      int       `json:"low_key"`
	HighKey     int       `json:"high_key"`
	StandsInFor *string   `json:"stands_in_for"` // of a spare that plays for another voice
	Pitch       *Jack     `json:"pitch"`         // null without a jack, as is gate
	Gate        *Jack     `json:"gate"`
	Lanes       []MapLane `json:"lanes"` // further inputs
	Part        *string   `json:"part"`
	Unison      *Stack    `json:"unison"`
	DetuneCents *float64  `json:"detune_cents"` // null where it changes from note to note
	Pan         *float64  `json:"pan"`          // −1 left … 1 right; null as above
	Seats       []Seat    `json:"seats"`
	ZeroKey     *int      `json:"zero_key"` // null in hertz per volt
	VoltsAt     VoltsAt   `json:"volts_at"` // before corrections, at both ends and each C
	Budget      *Budget   `json:"budget"`   // null where no pitch reaches it
}

// Jack is an output of an interface and the message that moves it. Numbers
// count from 1.
type Jack struct {
	Jack      int     `json:"jack"`
	Kind      string  `json:"kind"` // cv, gate; output, which gives either
	Connector int     `json:"connector"`
	Place     int     `json:"place"` // on the connector
	Interface string  `json:"interface"`
	Port      *int    `json:"port"` // null on an audio interface, and where nothing is left
	Channel   *int    `json:"channel"`
	Message   *string `json:"message"`
	Pinned    bool    `json:"pinned"`
}

// MapLane is a lane that has a jack.
type MapLane struct {
	Name  string   `json:"name"`
	Input *string  `json:"input"` // null for a macro
	Bank  *string  `json:"bank"`
	To    []string `json:"to"` // the inputs that it moves
	Jack
}

// Stack is a place in a unison.
type Stack struct {
	Stack    *int `json:"stack"`    // from 1; null where stacks are not fixed
	Position *int `json:"position"` // from 1; null where it changes from note to note
	Of       int  `json:"of"`       // voices on a note
}

// Seat is a voice's place in one part.
type Seat struct {
	Part        string   `json:"part"`
	Unison      Stack    `json:"unison"`
	DetuneCents *float64 `json:"detune_cents"`
	Pan         *float64 `json:"pan"`
	Idle        bool     `json:"idle"` // left over by the fixed stacks of the part
}

// Spare counts free jacks and names them.
type Spare struct {
	CV     int          `json:"cv"`
	Gates  int          `json:"gates"`
	Either int          `json:"either"` // outputs that give a CV or a gate
	Jacks  []SpareJacks `json:"jacks"`
}

// SpareJacks are the free jacks of one kind on an interface.
type SpareJacks struct {
	Interface string `json:"interface"`
	Kind      string `json:"kind"`
	Jacks     []int  `json:"jacks"`
}

// Step is a way down that was tried and makes everything fit.
type Step struct {
	Text   string `json:"text"`
	CV     int    `json:"cv"` // free jacks then
	Gates  int    `json:"gates"`
	Either int    `json:"either"`
}

// SeatsAgree tells whether a voice has the same place in all parts that play on
// it, of which there is one at least.
func (v *MapVoice) SeatsAgree() bool {
	for i := range v.Seats {
		if !v.Seats[i].like(&v.Seats[0]) {
			return false
		}
	}
	return len(v.Seats) > 0
}

// like tells whether two parts give a voice the same place.
func (s *Seat) like(other *Seat) bool {
	return s.Unison.Of == other.Unison.Of && same(s.Unison.Stack, other.Unison.Stack) && same(s.Unison.Position, other.Unison.Position) &&
		same(s.DetuneCents, other.DetuneCents) && same(s.Pan, other.Pan)
}

// same tells whether two values are equal, or both missing.
func same[T comparable](a, b *T) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}

// Tuned is the detune, in cents, and the pan (−1 … 1) that a voice has whatever
// it plays. They are nil where it has none, and where they vary from note to
// note or from part to part.
func (v *MapVoice) Tuned() (cents, pan *float64, varies bool) {
	switch {
	case v.Unison == nil:
		return nil, nil, false
	case !v.SeatsAgree():
		return nil, nil, true
	case v.DetuneCents == nil:
		return nil, nil, v.Unison.Of > 1 && !v.Seats[0].Idle
	case v.Unison.Of == 1:
		return nil, nil, false
	}
	return v.DetuneCents, v.Pan, false
}
